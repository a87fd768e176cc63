/** Is this bag still tight? */
import { signal, useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { Bag, BagLine, BagTask } from "../../../src/wire/bag.ts";
import type { Bench, Scale, ScaleTask } from "../../../src/wire/bench.ts";
import { bagService } from "../ask-bags.ts";
import { choose } from "../choose.ts";
import { sayBags } from "../bag-texts.ts";
import { begun, bench, foodCalled, go, nowMs, say, speech, state } from "../page.ts";
import { ActButton, Refused, useAct } from "../parts/act.tsx";
import { BagAtScale, BagTakenNote } from "../parts/bag-at-scale.tsx";
import { Fates } from "../parts/fates.tsx";
import { useFetched } from "../parts/fetched.ts";
import { Fold } from "../parts/field.tsx";
import { FindBag, useScanner } from "../parts/find-bag.tsx";
import { useFromTop } from "../parts/from-top.ts";
import { LabelLinks } from "../parts/label-links.tsx";
import { LiveWeight } from "../parts/live-weight.tsx";
import { Lots } from "../parts/lots.tsx";
import { BagPhotos } from "../parts/photos.tsx";
import { PracticeHand } from "../parts/practice-hand.tsx";
import { RoundList, RoundStep } from "../parts/round.tsx";
import { ServiceText } from "../parts/service-text.tsx";
import { ShelfFigures, ShelfVerdict } from "../parts/shelf-verdict.tsx";
import { Stock } from "../parts/stock.tsx";
import { kindNow, TypedBagWeight } from "../parts/typed-bag-weight.tsx";
import { WithCode } from "../parts/with-code.tsx";
import {
  afterWeighing,
  doneIn,
  isToldOf,
  newRound,
  nextInRound,
  roundUnderWay,
  type Round,
} from "../round.ts";
import { writeRoute } from "../route.ts";
import { batchName, capital, showDate, showMass, trayName } from "../show.ts";
import { scaleToShow, taskOf } from "../state.ts";
import "../bags.css";
import { Wide } from "../parts/wide.tsx";

type OnShelf = {
  readonly known: Bench;
  readonly scale: Scale | null;
  readonly task: ScaleTask | null;
};

/** A round outlives the page: an alert may take a person elsewhere in the middle of it. */
const round = signal<{ readonly at: Round; readonly lastWeighing: number } | null>(null);
begun.push(() => round.peek() !== null);
const isOver = signal(false);
const limitPct = signal(10);

type ShelfProps = { readonly bag: number | null; readonly code: string | null };

export function ShelfPage({ bag, code }: ShelfProps) {
  const known = bench.value;
  if (known === null) return <LiveWeight scale={null} />;
  const scale = scaleFor(known);
  const task = scale === null ? null : taskOf(known, scale.id);
  return <Shelf bag={bag} code={code} at={{ known, scale, task }} />;
}

/** The scale where a bag was chosen or was last taken, else the one whose weight would be shown. */
function scaleFor(known: Bench): Scale | null {
  const at =
    known.tasks.find(({ bag }) => bag !== null) ??
    known.tasks.find(({ bagTaken }) => bagTaken !== null);
  const id = at?.scale ?? scaleToShow(state.peek(), null);
  return known.scales.find((scale) => scale.id === id) ?? null;
}

/** Of a bag that is gone nothing is weighed any more: it is only looked at. */
const weighed: readonly BagLine["state"][] = ["planned", "filled", "sealed", "opened"];

function Shelf({ bag, code, at }: ShelfProps & { readonly at: OnShelf }) {
  const { scale, task } = at;
  const changes = useSignal(0);
  const act = useAct();
  const missing = useSignal<string | null>(null);
  const taken = task?.bagTaken ?? null;
  const key = `${taken?.weighing ?? 0} ${changes.value} ${at.known.bagsAsOf}`;
  const stock = useFetched(key, () => bagService.stock());

  const putting = useRef<Promise<unknown>>(Promise.resolve());
  /** Asks for a bag on the scale; null: it is for trays again. One after the other, so that no quick touch is lost. */
  const put = async (id: number | null): Promise<void> => {
    if (scale === null) return;
    const asking = (): Promise<unknown> => act.run(() => choose(scale.id, "bag", { bag: id }));
    putting.current = putting.current.then(asking);
    await putting.current;
  };
  /** Shows a bag, and asks for it on the scale where it can be weighed. */
  const open = async ({ id, state: now }: BagLine): Promise<void> => {
    go({ page: "shelf", bag: id });
    if (weighed.includes(now)) await put(id);
  };
  const find = async (code: string): Promise<void> => {
    missing.value = null;
    const done = await act.run(() => bagService.named(code));
    if (done === null) return;
    const line = done.body.find((one) => one.code.toLowerCase() === code.toLowerCase());
    if (line === undefined) missing.value = code;
    else await open(line);
  };
  useScanner((scanned) => void find(scanned));
  useEffect(() => {
    if (code !== null) void find(code);
  }, [code]);

  const inStore = stock.body ?? [];
  const goOn = async (next: Round): Promise<void> => {
    const id = nextInRound(next, inStore);
    isOver.value = id === null;
    await put(id);
  };
  useEffect(() => {
    const now = round.peek();
    if (now === null || isOver.peek() || taken === null || taken.weighing === now.lastWeighing)
      return;
    if (stock.body === null || !isToldOf(taken, stock.body)) return;
    const next = afterWeighing(now.at, taken);
    round.value = { at: next, lastWeighing: taken.weighing };
    void goOn(next);
  }, [taken?.weighing, stock.body]);

  const begin = (at: Round): void => {
    round.value = { at, lastWeighing: taken?.weighing ?? 0 };
    go({ page: "shelf", bag: null });
    void goOn(at);
  };

  const said = (
    <>
      <Refused why={act.refusal ?? stock.why} />
      {missing.value !== null && (
        <p class="refused" role="alert">
          {sayBags().shelf.missing(missing.value)}
        </p>
      )}
    </>
  );
  const running = round.value;
  if (running !== null && bag === null)
    return (
      <>
        {isOver.value || scale === null || task === null ? (
          <RoundList
            done={doneIn(running.at, inStore)}
            passed={running.at.passed.length}
            onAgain={() => begin(newRound(inStore))}
            onClose={() => (round.value = null)}
          />
        ) : (
          <RoundStep
            scale={scale}
            task={task}
            done={doneIn(running.at, inStore)}
            again={running.at.again}
            onPass={(id) => {
              const next = { ...running.at, again: null, passed: [...running.at.passed, id] };
              round.value = { ...running, at: next };
              void goOn(next);
            }}
            onEnd={() => {
              isOver.value = true;
              void put(null);
            }}
          />
        )}
        <PracticeHand />
        {said}
      </>
    );
  if (bag !== null)
    return (
      <>
        <OneBag
          key={bag}
          id={bag}
          at={at}
          change={`${key} ${task?.bag?.bag ?? 0}`}
          onChanged={() => changes.value++}
        />
        {said}
        <p>
          <a class="button big" href={writeRoute({ page: "shelf", bag: null })}>
            {round.value === null ? sayBags().shelf.another : sayBags().shelf.backToRound}
          </a>
        </p>
      </>
    );
  const underWay = roundUnderWay(inStore, nowMs.value);
  return (
    <>
      <h1>{sayBags().shelf.title}</h1>
      <FindBag onFound={(code) => void find(code)} />
      {said}
      {scale !== null && inStore.length > 0 && (
        <>
          <div class="at-hand begin-round">
            <button type="button" class="main" onClick={() => begin(underWay ?? newRound(inStore))}>
              {sayBags().shelf.round.begin}
            </button>
          </div>
          <p class="quiet">
            {underWay === null
              ? sayBags().shelf.round.what
              : sayBags().shelf.round.soFar(doneIn(underWay, inStore).length)}
          </p>
        </>
      )}
      {stock.body !== null && <Stock stock={stock.body} />}
      <Lots change={key} />
      <PracticeHand />
    </>
  );
}

type OneBagProps = {
  readonly id: number;
  readonly at: OnShelf;
  readonly change: string;
  readonly onChanged: () => void;
};

function OneBag({ id, at: { scale, task }, change, onChanged }: OneBagProps) {
  useFromTop(`${id} ${task?.bag?.bag ?? 0}`);
  const { body, why } = useFetched(`${id} ${limitPct.value} ${change}`, () =>
    bagService.bag(id, limitPct.value),
  );
  if (body === null)
    return why === null ? <p class="quiet">{say().look.connecting}</p> : <Refused why={why} />;
  const on = task?.bag ?? null;
  const isAtScale = on !== null && on.bag === id;
  const taken = task?.bagTaken ?? null;
  if (isAtScale && scale !== null && task !== null)
    return (
      <>
        <BagAtScale scale={scale} task={{ ...task, bag: on }} bag={body} />
        <PracticeHand />
      </>
    );
  return (
    <>
      <Refused why={why} />
      <Finding bag={body} />
      {taken !== null && taken.bag === id && (
        <BagTakenNote taken={taken} divisionGrams={scale?.divisionGrams ?? null} />
      )}
      {scale !== null && <Weigh bag={body} scale={scale} />}
      {body.shelf !== null && body.state === "sealed" && (
        <ShelfFigures
          finding={body.shelf}
          limitPct={limitPct.value}
          onLimit={(pct) => (limitPct.value = pct)}
        />
      )}
      <Cautions bag={body} />
      <Fates bag={body} onChanged={onChanged} />
      <section class="folds">
        <About bag={body} />
        <BagPhotos bag={body} />
        {body.state === "sealed" && (
          <Fold summary={sayBags().labels.title(1)}>
            <LabelLinks bags={[id]} isTitled={false} />
          </Fold>
        )}
        {(body.state === "sealed" || body.state === "opened") && (
          <TypedBagWeight bags={[body]} onKept={onChanged} />
        )}
      </section>
    </>
  );
}

const nameOf = (bag: Bag): string =>
  `${capital(sayBags().bag(bag.code))}, ${foodCalled(bag.product)}`;

function Finding({ bag }: { readonly bag: Bag }) {
  if (bag.shelf !== null && bag.state === "sealed")
    return <ShelfVerdict finding={bag.shelf} name={nameOf(bag)} bagCode={bag.code} />;
  return (
    <div class="todo">
      <h1>
        <WithCode text={nameOf(bag)} code={bag.code} />
      </h1>
      {(bag.redriedIn ?? null) === null && <p class="quiet">{sayBags().states[bag.state]}</p>}
      {bag.state === "opened" && <p>{sayBags().shelf.sealAgainWhy}</p>}
      {bag.state === "re-dry" && <DriedAgain bag={bag} />}
    </div>
  );
}

/** Where its food went, or how it gets there. */
function DriedAgain({ bag }: { readonly bag: Bag }) {
  const texts = sayBags().shelf;
  const went = bag.redriedIn ?? null;
  if (went !== null)
    return (
      <p>
        <a class="button" href={writeRoute({ page: "batch", batch: went.batch, tray: null })}>
          {texts.redriedIn(trayName(speech.value, went.tray), went.batchNumber)}
        </a>
      </p>
    );
  return (
    <>
      <p>{texts.redryHow(bag.code)}</p>
      <div class="at-hand">
        <a class="button main" href={writeRoute({ page: "plan" })}>
          {say().weigh.planOne}
        </a>
      </div>
    </>
  );
}

function Weigh({ bag, scale }: { readonly bag: Bag; readonly scale: Scale }) {
  const texts = sayBags().shelf;
  const isWeighed: readonly BagTask["kind"][] = ["shelf", "sealed"];
  const kind = kindNow(bag);
  const isThere = bag.state === "sealed" || bag.state === "opened" || bag.state === "filled";
  if (!isThere || !isWeighed.includes(kind)) return null;
  const isWanted = kind === "sealed" || bag.shelf?.weighAgain?.to === null;
  return (
    <div class="at-hand">
      <ActButton
        look={isWanted ? "main" : "big"}
        asking={() => choose(scale.id, "bag", { bag: bag.id, kind })}
      >
        {kind === "shelf" ? texts.weigh : texts.sealAgain}
      </ActButton>
    </div>
  );
}

function Cautions({ bag }: { readonly bag: Bag }) {
  if (bag.although === null && bag.cautions.length === 0) return null;
  return (
    <ul>
      {bag.although !== null && <li class="caution">{sayBags().pack.because(bag.although)}</li>}
      {bag.cautions.map((caution) => (
        <li key={caution} class="caution">
          <ServiceText text={caution} />
        </li>
      ))}
    </ul>
  );
}

/** What was said of it, in its order; what was taken back stays there. */
function Became({ bag }: { readonly bag: Bag }) {
  const texts = sayBags();
  const { about } = texts.shelf;
  const said = [
    ...bag.gainsAccepted.map(({ at, grams }) => ({
      at,
      text: about.gainAccepted(showMass(speech.value, grams, 0.1)),
    })),
    ...bag.fates.map(({ at, fate, takesBack }) => ({
      at,
      text: takesBack === null ? texts.states[fate] : about.wasTakenBack(texts.states[fate]),
    })),
  ].sort((one, other) => one.at.localeCompare(other.at));
  if (said.length === 0) return null;
  return (
    <>
      <h3>{about.became}</h3>
      <ul class="facts">
        {said.map(({ at, text }, place) => (
          <li key={`${at} ${place}`}>
            {showDate(speech.value, at)}: {text}
          </li>
        ))}
      </ul>
    </>
  );
}

/** What is known of a bag: its masses, where it is from, and what it weighed since. */
function About({ bag }: { readonly bag: Bag }) {
  const texts = sayBags().shelf.about;
  const { strike } = say().batch.weighings;
  const mass = (value: number, division: number | null = null): string =>
    showMass(speech.value, value, division ?? 0.1);
  const current = bag.weighings.filter((row) => row.current && row.kind !== "tare");
  const last = current.at(-1);
  return (
    <Fold summary={texts.title}>
      <ul class="facts">
        {bag.netGrams !== null && <li>{texts.net(mass(bag.netGrams), mass(bag.freshGrams))}</li>}
        <li>{texts.water(mass(bag.waterToAddGrams, 1))}</li>
        {bag.lot !== null && <li>{texts.lot(bag.lot)}</li>}
        {bag.supplier !== null && (
          <li>
            {sayBags().labels.fields.supplier}: {bag.supplier}
          </li>
        )}
        {bag.trays.map(({ tray, portion, name, grams }) => (
          <li key={`${tray} ${portion}`}>
            {capital(trayName(speech.value, name))}: {mass(grams)}
          </li>
        ))}
        <li>
          <a href={writeRoute({ page: "record", batch: bag.batch, tray: null })}>
            {batchName(speech.value, { ...bag, name: "", number: bag.batchNumber })}
          </a>
        </li>
      </ul>
      <Became bag={bag} />
      {last !== undefined && (
        <>
          <Wide label={texts.weighings}>
            <table>
              <caption>{texts.weighings}</caption>
              <tbody>
                {current.map((row) => (
                  <tr key={row.id}>
                    <th scope="row">{showDate(speech.value, row.at)}</th>
                    <td>{texts.kinds[row.kind]}</td>
                    <td>{mass(row.grossGrams, row.divisionGrams)}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </Wide>
          <ActButton
            asking={() =>
              bagService.editWeighing(bag.id, last.id, { struck: true, reason: strike })
            }
          >
            {strike}: {mass(last.grossGrams, last.divisionGrams)}
          </ActButton>
        </>
      )}
    </Fold>
  );
}
