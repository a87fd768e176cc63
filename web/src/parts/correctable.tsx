import { useSignal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { useLayoutEffect, useRef } from "preact/hooks";

type Props = {
  readonly line: ComponentChildren;
  /** Struck out or replaced: it only stands there. */
  readonly isPast: boolean;
  readonly mayCorrect: boolean;
  readonly word: string;
  readonly label: string;
  /** The form that takes the place of the button, until it is done. */
  readonly form: (onDone: () => void) => ComponentChildren;
};

/** A line of a log; the focus goes into its correction and comes back to its button. */
export function Correctable({ line, isPast, mayCorrect, word, label, form }: Props) {
  const isOpen = useSignal(false);
  const row = useRef<HTMLLIElement>(null);
  useLayoutEffect(() => {
    if (isOpen.value) row.current?.querySelector<HTMLElement>("input, select")?.focus();
  }, [isOpen.value]);
  return (
    <li ref={row} class={isPast ? "past" : ""}>
      <span class="log-line">{line}</span>
      {mayCorrect && !isOpen.value && (
        <button type="button" aria-label={label} onClick={() => (isOpen.value = true)}>
          {word}
        </button>
      )}
      {isOpen.value && form(() => (isOpen.value = false))}
    </li>
  );
}
