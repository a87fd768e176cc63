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

/** What the practice scale waits for while bags are packed. */
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
  const task = bench.value?.tasks.find(({ bag }) => bag !== null && bag.kind !== "shelf");
  const on = task?.bag ?? null;
  const open = bench.value?.batches ?? [];
  const trays = open.flatMap((batch) =>
    batch.trays.map((tray) => ({
      id: tray.id,
      name: trayNamed(batch.id, tray.name),
      empty: batch.phase === "loading" && tray.tareGrams === null,
    })),
  );
  return (
    <>
      {trays.length === 0 && on === null && <p>{texts.noBatch}</p>}
      <div class="answers">
        {on !== null && <BagPlaces bag={on.bag} isFilling={on.kind === "filled"} />}
        {on === null &&
          trays.map(({ id, name, empty }) => (
            <ActButton key={id} asking={() => service.practice({ place: { tray: id, empty } })}>
              {empty ? texts.placeEmpty(name) : texts.place(name)}
            </ActButton>
          ))}
        <ActButton asking={() => service.practice({ place: null })}>{texts.takeOff}</ActButton>
      </div>
      <ActButton asking={() => service.practice({ works: true })}>{texts.letWork}</ActButton>
    </>
  );
}
