import type { ScaleTask } from "../../../src/wire/bench.ts";
import { service } from "../ask.ts";
import { bench, say, trayNamed } from "../page.ts";
import { writeRoute } from "../route.ts";
import { ActButton } from "./act.tsx";
import { ServiceText } from "./service-text.tsx";

/** Only in practice: who puts the trays on the practice scale. */
export function PracticeHand() {
  const known = bench.value;
  if (known === null || known.practiceHand === null) return null;
  const texts = say().practice;
  const { works, doing } = known.practiceHand;
  return (
    <section class="practice-hand" aria-labelledby="practice-title">
      <h2 id="practice-title">{texts.handTitle}</h2>
      <p>{works ? texts.handWorks : texts.handRests}</p>
      {works && doing !== "" && (
        <p class="quiet">
          <ServiceText text={doing} />
        </p>
      )}
      {works ? (
        <ActButton asking={() => service.practice({ works: false })}>{texts.doItMyself}</ActButton>
      ) : (
        <Places />
      )}
      <a class="button" href={writeRoute({ page: "setup" })}>
        {say().look.chooseScale}
      </a>
    </section>
  );
}

type NextTray = NonNullable<ScaleTask["next"]>;

/** Beside the weight, so that it is seen to move: what a person who does the work would do next with the tray at hand. */
export function PracticeNext({
  next,
  isLoaded,
}: {
  readonly next: NextTray | null;
  readonly isLoaded: boolean;
}) {
  const hand = bench.value?.practiceHand ?? null;
  if (hand === null || hand.works || (next === null && !isLoaded)) return null;
  if (isLoaded || next === null) return <TakeOff look="big" />;
  return <Place look="big" {...next} empty={next.kind === "tare"} />;
}

type Look = { readonly look?: "big" };
type PlaceProps = Look & Pick<NextTray, "batch" | "tray" | "name"> & { readonly empty: boolean };

function Place({ batch, tray, name, empty, look }: PlaceProps) {
  const { place, placeEmpty } = say().practice;
  return (
    <ActButton look={look} asking={() => service.practice({ place: { tray, empty } })}>
      {(empty ? placeEmpty : place)(trayNamed(batch, name))}
    </ActButton>
  );
}

function TakeOff({ look }: Look) {
  return (
    <ActButton look={look} asking={() => service.practice({ place: null })}>
      {say().practice.takeOff}
    </ActButton>
  );
}

/** What the practice scale waits for while bags are packed, or weighed again. */
function BagPlaces({ bag, isFilling }: { readonly bag: number; readonly isFilling: boolean }) {
  const texts = say().practice;
  const put = (share: number) => () => service.practice({ place: { bag, share } });
  return (
    <>
      {isFilling && <ActButton asking={put(0.6)}>{texts.pourSome}</ActButton>}
      <ActButton asking={put(1)}>{isFilling ? texts.pourAll : texts.placeBag}</ActButton>
    </>
  );
}

function Places() {
  const texts = say().practice;
  const task = bench.value?.tasks.find(({ bag }) => bag !== null);
  const on = task?.bag ?? null;
  const open = bench.value?.batches ?? [];
  const trays = open.flatMap((batch) =>
    batch.trays.map(({ id, name, tareGrams }) => ({
      batch: batch.id,
      tray: id,
      name,
      empty: batch.phase === "loading" && tareGrams === null,
    })),
  );
  return (
    <>
      {trays.length === 0 && on === null && <p>{texts.noBatch}</p>}
      <div class="answers">
        {on !== null && <BagPlaces bag={on.bag} isFilling={on.kind === "filled"} />}
        {on === null && trays.map((one) => <Place key={one.tray} {...one} />)}
        <TakeOff />
      </div>
      <ActButton asking={() => service.practice({ works: true })}>{texts.letWork}</ActButton>
    </>
  );
}
