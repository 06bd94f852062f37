// A season in TypeScript, with types made from the OpenAPI document:
//
//   npm install openapi-fetch
//   npm install --save-dev openapi-typescript typescript@5 @types/node
//   npx openapi-typescript openapi.json -o barrowful.d.ts
//   npx tsc && node season.js http://127.0.0.1:8080
//
// The address of the service is the only argument. `tsconfig.json` is beside this file.

import createClient from "openapi-fetch";
import type { components, paths } from "./barrowful";

type Problem = components["schemas"]["Problem"];
type Quantity = components["schemas"]["Quantity"];

const address = process.argv[2] ?? "http://127.0.0.1:8080";

// Every answer has several formats. Naming JSON here gives `data` the type of the JSON format alone.
const service = createClient<paths, "application/json" | "application/problem+json">({ baseUrl: address });

// Numbers come with their unit, and with the range where there is one.
function shown({ value, unit, low, high }: Quantity): string {
  const short = (number: number) => Number(number.toPrecision(6));
  const range = low === undefined || high === undefined ? "" : ` (${short(low)} to ${short(high)})`;
  return `${short(value)} ${unit}${range}`;
}

// A refusal lists every error: where it is, what kind it is, and what to write instead.
function explain(problem: Problem): string {
  const errors = problem.errors ?? [];
  return [problem.detail, ...errors.map(({ pointer, code, detail }) => `${pointer} ${code}: ${detail}`)].join("\n  ");
}

// 1. How large a bed do the kitchen scraps of a week need?
const sized = await service.POST("/v1/worm-beds", {
  body: {
    start_on: "2027-04-01",
    climate: "20 C",
    feed_supply: { material: "kitchen_scraps", each_week: "7 kg" },
    worms: "0.5 kg",
  },
});
if (sized.error) throw new Error(explain(sized.error));
console.log(`the bed: ${shown(sized.data.ground.bed)}`);

// 2. The bed from that answer is sent on as it is: will its castings serve the garden?
const season = await service.POST("/v1/seasons", {
  body: {
    until: "2028-04-30",
    worm_beds: [sized.data.worm_bed.seasons],
    stock: [{ name: "cured bin", amount: "20 L", ready_on: "2027-03-01" }],
    demands: [
      {
        name: "carrot rows",
        application: {
          surface: { kind: "rows", count: 4, length: "6 m", band_width: "20 cm" },
          rate: { kind: "depth", amount: "1 cm" },
        },
        on: "2027-04-05",
      },
      { name: "tomatoes", amount: "6 L", earliest: "2027-05-15", latest: "2027-06-01" },
    ],
  },
});
if (season.error) throw new Error(explain(season.error));
console.log(season.data.headline);
for (const demand of season.data.demands) {
  console.log(`${demand.name}: ${shown(demand.allocated)} of ${shown(demand.needed)}`);
}

// 3. So do quantities and rates: what does the rate that the carrots got make on another bed?
const carrots = season.data.demands[0];
if (!carrots?.rate_allocated) throw new Error("the carrots have no rate");
const applied = await service.POST("/v1/applications", {
  body: {
    areas: [
      { name: "salad bed", surface: { kind: "rectangle", length: "2.4 m", width: "1.2 m" }, rate: carrots.rate_allocated },
      { name: "the rest of the carrots", surface: { kind: "rows", length: "24 m", band_width: "20 cm" }, castings: carrots.shortfall },
    ],
  },
});
if (applied.error) throw new Error(explain(applied.error));
for (const area of applied.data.areas) {
  console.log(`${area.name}: ${shown(area.castings.volume)}`);
}

// 4. A request with an error: a length has lost its unit.
const refused = await service.POST("/v1/applications", {
  body: {
    areas: [{ surface: { kind: "rectangle", length: "2.4", width: "1.2 m" }, rate: { kind: "depth", amount: "2 cm" } }],
  },
});
if (!refused.error) throw new Error("a length without a unit was accepted");
console.log(`refused: ${explain(refused.error)}`);
