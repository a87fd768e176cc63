/** A food found by a few letters, or any name with the person's own figure for its water. */
import { useSignal } from "@preact/signals";
import { useEffect, useId } from "preact/hooks";
import type { FoodFound } from "../../../src/wire/requests.ts";
import { service } from "../ask.ts";
import { foodCalled, foodTyped, say, speech } from "../page.ts";
import { showNumber, showPercent } from "../show.ts";

type Props = {
  readonly value: string;
  readonly onValue: (name: string) => void;
  readonly onFound: (food: FoodFound | null) => void;
  /** Where it is no food on a tray, or where no bag can be named for it. */
  readonly label?: string;
};

const most = 8;
const afterTypingMs = 150;

export function FoodField({ value, onValue, onFound, label }: Props) {
  const { plan } = say();
  const id = useId();
  const typed = useSignal<string | null>(null);
  const found = useSignal<readonly FoodFound[] | null>(null);
  const picked = useSignal<FoodFound | null>(null);
  const active = useSignal(-1);

  useEffect(() => {
    const text = typed.value?.trim() ?? "";
    if (text.length < 2) {
      found.value = null;
      return;
    }
    let isLate = false;
    const wait = setTimeout(() => {
      void service.foods(text, most).then((answer) => {
        if (isLate || answer.is !== "done") return;
        found.value = answer.body;
        active.value = -1;
      });
    }, afterTypingMs);
    return () => {
      isLate = true;
      clearTimeout(wait);
    };
  }, [typed.value]);

  const pick = (food: FoodFound): void => {
    picked.value = food;
    found.value = null;
    typed.value = null;
    onValue(foodTyped(food.name));
    onFound(food);
  };
  const list = found.value ?? [];
  const isOpen = list.length > 0;

  const onKey = (event: KeyboardEvent): void => {
    if (!isOpen) return;
    const step = event.key === "ArrowDown" ? 1 : event.key === "ArrowUp" ? -1 : 0;
    if (step !== 0) {
      event.preventDefault();
      active.value = (active.value + step + list.length) % list.length;
    } else if (event.key === "Enter" && list[active.value] !== undefined) {
      event.preventDefault();
      pick(list[active.value] as FoodFound);
    } else if (event.key === "Escape") found.value = null;
  };

  return (
    <div class="field food">
      <label for={id}>{label ?? plan.food}</label>
      <input
        id={id}
        type="text"
        role="combobox"
        autocomplete="off"
        spellcheck={false}
        value={foodTyped(value)}
        aria-expanded={isOpen}
        aria-controls={`${id}-list`}
        aria-autocomplete="list"
        aria-activedescendant={active.value >= 0 ? `${id}-${active.value}` : undefined}
        aria-describedby={`${id}-hint`}
        onKeyDown={onKey}
        onInput={(event) => {
          typed.value = event.currentTarget.value;
          if (picked.value !== null) {
            picked.value = null;
            onFound(null);
          }
          onValue(event.currentTarget.value);
        }}
        onBlur={() => (typed.value = null)}
      />
      <ul id={`${id}-list`} role="listbox" aria-label={plan.food} hidden={!isOpen}>
        {list.map((food, index) => (
          <li
            key={food.number}
            id={`${id}-${index}`}
            role="option"
            aria-selected={index === active.value}
            onPointerDown={(event) => {
              event.preventDefault();
              pick(food);
            }}
          >
            <span>{foodCalled(food.name)}</span>
            <span class="quiet">{waterOf(food)}</span>
          </li>
        ))}
      </ul>
      <p id={`${id}-hint`} class="hint" role="status">
        {picked.value !== null
          ? waterOf(picked.value)
          : found.value === null
            ? label === undefined && plan.foodHint
            : plan.foodFound(list.length)}
      </p>
    </div>
  );
}

function waterOf(food: FoodFound): string {
  const figures = ({ waterPct, waterSdPct }: Pick<FoodFound, "waterPct" | "waterSdPct">) =>
    [
      showPercent(speech.value, waterPct / 100),
      `${showNumber(speech.value, waterSdPct, 1)} %`,
    ] as const;
  const { plan } = say();
  const table = plan.waterOf(...figures(food));
  return food.own === null
    ? table
    : plan.waterLearned(...figures(food.own), food.own.batches, table);
}
