/** What stands around every page: the way to the others, practice, the connection, the sound. */
import {
  bench,
  connection,
  isSilenced,
  localNow,
  mayOnlyLook,
  outdated,
  route,
  say,
  speech,
  state,
} from "../page.ts";
import { writeRoute, type Route } from "../route.ts";
import { showAge } from "../show.ts";
import { canSound, turnSoundOn } from "../sound.ts";
import { ServiceText } from "./service-text.tsx";

export function Nav() {
  const { nav } = say();
  const links: readonly (readonly [Route, string])[] = [
    [{ page: "weigh", scale: null }, nav.weigh],
    [{ page: "batch", batch: null, tray: null }, nav.batch],
    [{ page: "plan" }, nav.plan],
    [{ page: "pack", batch: null }, nav.pack],
    [{ page: "shelf", bag: null }, nav.shelf],
    [{ page: "record", batch: null, tray: null }, nav.record],
    [{ page: "setup" }, nav.setup],
  ];
  return (
    <nav aria-label={nav.label}>
      <a class="skip" href="#main" onClick={skip}>
        {nav.skip}
      </a>
      {links.map(([to, text]) => (
        <a
          key={to.page}
          href={writeRoute(to)}
          aria-current={route.value.page === to.page ? "page" : undefined}
        >
          {text}
        </a>
      ))}
    </nav>
  );
}

/** The address after `#` is the route, so that the skip link moves by itself. */
function skip(event: Event): void {
  event.preventDefault();
  document.getElementById("main")?.focus();
}

export function Practice() {
  const why = bench.value?.practice ?? null;
  if (why === null) return null;
  return (
    <p class="practice">
      <strong>{say().practice.banner}</strong>{" "}
      <span class="quiet">
        <ServiceText text={why} />
      </span>
    </p>
  );
}

export function OnlyLooking() {
  return mayOnlyLook.value ? <p class="sound-off quiet">{say().pair.onlyLooking}</p> : null;
}

export function Connection() {
  const texts = say().connection;
  if (outdated.value)
    return (
      <div class="trouble" role="alert">
        <p>{bench.value === null ? texts.outdated : texts.outdatedStill}</p>
      </div>
    );
  if (connection.value.is === "lost") return <Lost since={connection.value.sinceLocalMs} />;
  const known = bench.value;
  if (known === null) return <p class="trouble">{texts.connecting}</p>;
  const copyFailed = known.backup?.failed ?? null;
  if (known.recording && known.clockJump === null && copyFailed === null) return null;
  return (
    <div class="trouble" role="alert">
      {!known.recording && (
        <p>
          <strong class="loud">{texts.notRecording}</strong>{" "}
          <ServiceText text={known.notRecordingWhy ?? ""} />
        </p>
      )}
      {!known.recording && (
        <>
          <p>{texts.notRecordingFix}</p>
          {known.settings.sound && !isSilenced.value && (
            <button type="button" class="big" onClick={() => (isSilenced.value = true)}>
              {texts.silence}
            </button>
          )}
        </>
      )}
      {copyFailed !== null && (
        <p>
          <strong>{texts.backupFailed}</strong> <ServiceText text={copyFailed} />
        </p>
      )}
      {known.clockJump !== null && (
        <p>
          <strong>{texts.clockJump}</strong> <ServiceText text={known.clockJump} />
        </p>
      )}
    </div>
  );
}

function Lost({ since }: { readonly since: number }) {
  const texts = say().connection;
  const age = localNow.value - (state.peek().heardLocalMs ?? since);
  return (
    <div class="trouble">
      <p role="alert" class="unseen">
        {say().look.lost}
      </p>
      <p>
        <strong>{texts.lost(showAge(speech.value, age))}</strong>
      </p>
      <p>{texts.lostFix}</p>
    </div>
  );
}

/** Browsers keep a page quiet until it is touched; a person who waits for a sound has to know. */
export function SoundOff() {
  const wanted = bench.value?.settings.sound ?? false;
  if (!wanted || canSound.value) return null;
  return (
    <p class="sound-off">
      <button type="button" onClick={() => void turnSoundOn()}>
        {say().sound.turnOn}
      </button>
    </p>
  );
}

export function Foot() {
  const known = bench.value;
  if (known === null) return null;
  const texts = say().sound;
  return (
    <footer>
      <span>{say().program}</span>
      {!known.settings.sound && <a href={writeRoute({ page: "setup" })}>{texts.off}</a>}
      {known.settings.sound && canSound.value && <span>{texts.on}</span>}
    </footer>
  );
}
