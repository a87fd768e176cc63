/** /problems/<code>: the page to which a problem's `type` leads. */
import Type from "typebox";
import { type FaultCode, faults } from "../faults.ts";
import type { Api } from "./api.ts";
import { plainProblem, refuse } from "./problem.ts";

const isCode = (code: string): code is FaultCode => Object.hasOwn(faults, code);

const escaped = (text: string): string =>
  text
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;")
    .replaceAll('"', "&quot;");

function problemPage(code: FaultCode): string {
  const { status, title, hint } = faults[code];
  return `<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>${escaped(title)}</title>
<h1>${escaped(title)}</h1>
<p>${escaped(hint)}.</p>
<p><code>${escaped(code)}</code>, HTTP status ${status}</p>
</html>
`;
}

export function catalogueRoute(api: Api): void {
  api.get(
    "/problems/:code",
    {
      schema: {
        tags: ["Service"],
        summary: "What a problem means and what to do about it, as a short page",
        params: Type.Object({ code: Type.String({ description: "from the problem's `type`" }) }),
        produces: ["text/html"],
        response: { 200: Type.String({ description: "the page" }) },
      },
    },
    ({ params }, reply) => {
      if (!isCode(params.code))
        return void refuse(reply, plainProblem(404, "there is no problem with that code"));
      reply.header("content-type", "text/html; charset=utf-8");
      return problemPage(params.code);
    },
  );
}
