import type { ComponentChildren } from "preact";
import { useId } from "preact/hooks";

type FieldProps = {
  readonly label: string;
  readonly value: string;
  readonly onValue: (value: string) => void;
  readonly hint?: string | undefined;
  readonly kind?: "text" | "number" | "url" | "when" | "password" | "figures";
  readonly required?: boolean;
  readonly narrow?: boolean;
};

/** Numbers are typed as text, so that a comma is not thrown away by the browser. */
const modes = { text: "text", number: "decimal", url: "url", figures: "numeric" } as const;

export function Field(props: FieldProps) {
  const id = useId();
  const { label, value, onValue, hint, kind = "text", required, narrow } = props;
  const shared = {
    id,
    value,
    spellcheck: false,
    required: required ?? false,
    "aria-describedby": hint === undefined ? undefined : `${id}-hint`,
    onInput: (event: { readonly currentTarget: HTMLInputElement }) =>
      onValue(event.currentTarget.value),
  } as const;
  return (
    <div class={narrow ? "field narrow" : "field"}>
      <label for={id}>{label}</label>
      {kind === "password" && <input type="password" autocomplete="new-password" {...shared} />}
      {kind === "when" && <input type="datetime-local" autocomplete="off" {...shared} />}
      {kind !== "password" && kind !== "when" && (
        <input type="text" inputMode={modes[kind]} autocomplete="off" {...shared} />
      )}
      {hint !== undefined && (
        <p id={`${id}-hint`} class="hint">
          {hint}
        </p>
      )}
    </div>
  );
}

type ChoiceProps = {
  readonly label: string;
  /** Where a heading says the same already. */
  readonly isLabelUnseen?: boolean;
  readonly value: string;
  readonly onValue: (value: string) => void;
  readonly options: readonly { readonly value: string; readonly label: string }[];
};

export function Choice({ label, isLabelUnseen = false, value, onValue, options }: ChoiceProps) {
  const id = useId();
  return (
    <div class="field narrow">
      <label for={id} class={isLabelUnseen ? "unseen" : undefined}>
        {label}
      </label>
      <select id={id} value={value} onChange={(event) => onValue(event.currentTarget.value)}>
        {options.map((option) => (
          <option key={option.value} value={option.value} selected={option.value === value}>
            {option.label}
          </option>
        ))}
      </select>
    </div>
  );
}

/** A form that is sent by the button or by Enter. */
export function Form({
  onSend,
  children,
}: {
  readonly onSend: () => void;
  readonly children: ComponentChildren;
}) {
  return (
    <form
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        onSend();
      }}
    >
      {children}
    </form>
  );
}

export function Fold({
  summary,
  onToggle,
  children,
}: {
  readonly summary: string;
  readonly onToggle?: (isOpen: boolean) => void;
  readonly children: ComponentChildren;
}) {
  return (
    <details class="fold" onToggle={(event) => onToggle?.(event.currentTarget.open)}>
      <summary>{summary}</summary>
      <div class="folded">{children}</div>
    </details>
  );
}
