/** What is in store by food, the oldest first. */
import { useSignal } from "@preact/signals";
import type { BagLine, StockLine } from "../../../src/wire/bag.ts";
import { sayBags } from "../bag-texts.ts";
import { foodCalled, say, speech } from "../page.ts";
import { writeRoute } from "../route.ts";
import { capital, showDate, showMass } from "../show.ts";
import { Fold } from "./field.tsx";
import { ShelfMark } from "./shelf-mark.tsx";

/** So few bags are shown at once; a season's store stays behind its foods. */
const shownAtOnce = 12;

export function Stock({ stock }: { readonly stock: readonly StockLine[] }) {
  const texts = sayBags().shelf.stock;
  const count = stock.reduce((sum, { bags }) => sum + bags.length, 0);
  return (
    <section class="stock">
      <h2>{texts.title(count)}</h2>
      {count === 0 && <p>{texts.none}</p>}
      {stock.map((line) =>
        count <= shownAtOnce ? (
          <div key={line.product} class="food">
            <h3>{summaryOf(line)}</h3>
            <BagLines line={line} />
          </div>
        ) : (
          <FoldedFood key={line.product} line={line} />
        ),
      )}
    </section>
  );
}

const summaryOf = (line: StockLine): string =>
  sayBags().shelf.stock.line(
    foodCalled(line.product),
    line.bags.length,
    showMass(speech.value, line.netGrams, null),
    showDate(speech.value, line.oldestAt),
  );

function FoldedFood({ line }: { readonly line: StockLine }) {
  const isOpen = useSignal(false);
  return (
    <Fold summary={summaryOf(line)} onToggle={(open) => (isOpen.value = open)}>
      {isOpen.value && <BagLines line={line} />}
    </Fold>
  );
}

function BagLines({ line }: { readonly line: Pick<StockLine, "bags"> }) {
  const texts = sayBags().shelf.stock;
  return (
    <ul class="bag-lines">
      {line.bags.map((bag) => (
        <li key={bag.id}>
          <a href={writeRoute({ page: "shelf", bag: bag.id })}>
            <span class="strong">{capital(sayBags().bag(bag.code))}</span>
            <span class="quiet">
              {bag.sealedAt === null ? "" : texts.sealed(showDate(speech.value, bag.sealedAt))}
              {bag.state === "opened" ? ` ${sayBags().states.opened}` : ""}
            </span>
            <span class="figure">
              {bag.netGrams === null ? "" : showMass(speech.value, bag.netGrams, 0.1)}
            </span>
            <span class="finding">
              <Found bag={bag} />
            </span>
          </a>
        </li>
      ))}
    </ul>
  );
}

/** What was found of it, or, where that says nothing yet, when it is to be weighed. */
function Found({ bag }: { readonly bag: BagLine }) {
  const texts = sayBags().shelf.stock;
  const { finding, weighAgain, weighFrom } = bag;
  if (finding === null) return null;
  const isTold = finding !== "not-checked" && finding !== "cannot-tell";
  if (weighAgain && !isTold) return <span class="due-now">{texts.weighNow}</span>;
  if (finding === "not-checked" && weighFrom !== null)
    return <>{texts.weighFrom(showDate(speech.value, weighFrom))}</>;
  return (
    <>
      <ShelfMark word={finding} />
      {say().bags.shelfWords[finding]}
    </>
  );
}
