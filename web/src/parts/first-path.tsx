/** Nothing is planned yet: the one way from here to the first weight. */
import type { Scale } from "../../../src/wire/bench.ts";
import { say } from "../page.ts";
import { writeRoute } from "../route.ts";
import { isMadeUp } from "../show.ts";

export function FirstPath({ scale }: { readonly scale: Scale | null }) {
  const { weigh, look } = say();
  const texts = weigh.first;
  const isReady = scale !== null;
  const isReal = isReady && !isMadeUp(scale);
  const done = isReal ? texts.scaleDone : texts.practiceScale;
  return (
    <section class="first-path">
      <h1>{isReady ? weigh.noBatch : look.noScale}</h1>
      <ol>
        <li class={isReady ? "done" : "now"}>
          <h2>{isReady ? done : texts.scale}</h2>
          {!isReady && (
            <>
              <p>{texts.scaleWhy}</p>
              <div class="at-hand">
                <a class="button main" href={writeRoute({ page: "setup" })}>
                  {look.chooseScale}
                </a>
              </div>
              <p class="quiet">{texts.noScale}</p>
            </>
          )}
          {isReal && <p class="quiet code">{scale.uri}</p>}
          {isReal && scale.practice && <p>{texts.tryFolder}</p>}
          {isReady && !isReal && (
            <>
              <p>{texts.practiceDone}</p>
              <p>
                <a class="button" href={writeRoute({ page: "setup" })}>
                  {texts.ownScale}
                </a>
              </p>
            </>
          )}
        </li>
        <li class={isReady ? "now" : "later"}>
          <h2>{texts.batch}</h2>
          <p>{texts.batchWhy}</p>
          <div class="at-hand">
            <a class={isReady ? "button main" : "button"} href={writeRoute({ page: "plan" })}>
              {weigh.planOne}
            </a>
          </div>
        </li>
        <li class="later">
          <h2>{texts.weigh}</h2>
          <p>{texts.weighWhy}</p>
        </li>
      </ol>
    </section>
  );
}
