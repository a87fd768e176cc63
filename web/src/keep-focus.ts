/**
 * What has the focus may disappear: a button by its own act, a question by its answer, a screen by what another person
 * did. The browser would then leave those who work by keyboard or by ear at the start of everything.
 */
const headings = "h1, h2, h3";
const controls = "a[href], button, input, select, summary";

export function keepFocus(root: HTMLElement): void {
  let focused: Element | null = null;
  let around: readonly Element[] = [];
  root.addEventListener("focusin", ({ target }) => {
    focused = target as Element;
    around = ancestorsOf(focused, root);
  });
  // A person who leaves a control for nothing in particular is not brought back.
  root.addEventListener("focusout", ({ target }) =>
    queueMicrotask(() => {
      if (target === focused && focused?.isConnected) focused = null;
    }),
  );
  new MutationObserver((changes) => {
    if (focused === null || focused.isConnected || document.activeElement !== document.body) return;
    focused = null;
    const place = around.find((element) => element.isConnected);
    const gone = changes.find(
      ({ target, removedNodes }) =>
        target === place && [...removedNodes].some((node) => around.includes(node as Element)),
    );
    focusOn(gone?.nextSibling, gone?.previousSibling, place);
  }).observe(root, { childList: true, subtree: true });
}

function ancestorsOf(element: Element, root: Element): readonly Element[] {
  const found: Element[] = [];
  for (let at: Element | null = element; at !== null && at !== root; at = at.parentElement)
    found.push(at);
  return found;
}

/** In a list the neighbour takes over; elsewhere the heading of what is left, for nothing is to be pressed unawares. */
function focusOn(
  next: Node | null | undefined,
  before: Node | null | undefined,
  place: Element | undefined,
): void {
  const neighbour = [next, before].find((node) => node instanceof HTMLLIElement);
  const line = neighbour ?? place?.closest("li");
  const heading = headingOver(place);
  const to =
    line instanceof Element ? (line.querySelector<HTMLElement>(controls) ?? heading) : heading;
  if (to === null) return;
  if (to === heading) to.tabIndex = -1;
  to.focus({ preventScroll: true });
  // Who works by touch sees no focus, and what they look at stays where it is.
  if (to.matches(":focus-visible")) to.scrollIntoView({ block: "nearest" });
}

function headingOver(place: Element | undefined): HTMLElement | null {
  for (let at = place ?? null; at !== null; at = at.parentElement) {
    const heading = at.querySelector<HTMLElement>(headings);
    if (heading !== null) return heading;
    if (at.id === "main") return at as HTMLElement;
  }
  return document.getElementById("main");
}
