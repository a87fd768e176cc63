import { expect, test } from "vitest";
import { metricsText } from "../../src/http/metrics.ts";
import { fakeService, host, makeTestServer } from "./fake.ts";

// The forms are those of "Exposition formats", text-based format 0.0.4, of the Prometheus documentation
// (from memory: HELP escapes \ and line feed, label values also ", special values are NaN, +Inf, -Inf).
test("help, labels and special values are escaped", () => {
  const text = metricsText([
    {
      name: "a_total",
      help: "one\ntwo \\ three",
      type: "counter",
      values: [
        { labels: {}, value: 3 },
        { labels: { scale: 'x"y\\z\n', unit: "g" }, value: -0.5 },
      ],
    },
    {
      name: "b",
      help: "",
      type: "gauge",
      values: [NaN, Infinity, -Infinity].map((value) => ({ labels: {}, value })),
    },
  ]);
  expect(text).toBe(
    [
      "# HELP a_total one\\ntwo \\\\ three",
      "# TYPE a_total counter",
      "a_total 3",
      'a_total{scale="x\\"y\\\\z\\n",unit="g"} -0.5',
      "# HELP b ",
      "# TYPE b gauge",
      "b NaN",
      "b +Inf",
      "b -Inf",
      "",
    ].join("\n"),
  );
});

test("the service's measures and the hub's are told together", async () => {
  const api = await makeTestServer(fakeService());
  const { body, headers } = await api.inject({ url: "/metrics", headers: { host } });
  expect(headers["content-type"]).toBe("text/plain; version=0.0.4; charset=utf-8");
  expect(body).toContain('stillweight_readings_total{scale="a \\"b\\"\\\\c"} 12\n');
  expect(body).toContain("stillweight_pages_open 0\n");
  for (const line of body.trimEnd().split("\n"))
    expect(line).toMatch(/^(# (HELP|TYPE) stillweight_\w+ .+|stillweight_\w+(\{.*\})? \S+)$/);
  await api.close();
});
