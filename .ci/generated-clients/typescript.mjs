// Writes every case of testdata/api as a typed literal, once for the types of openapi-typescript and once for those of
// openapi-ts: what the types do not know, or miss, does not compile.
// usage: node typescript.mjs, after both have written into typescript/
import { readFileSync, readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";

const cases = "../../testdata/api";
const first = ['import type { operations } from "./openapi-typescript";'];
const second = ['import type * as types from "./openapi-ts/types.gen";'];
const count = { requests: 0, answers: 0, problems: 0 };
let n = 0;

function literal(text, name, kind, other) {
  if (name.endsWith("Request")) count.requests++;
  first.push(`export const ${name}: ${kind} = ${text};`);
  second.push(`export const ${name}: ${other} = ${text};`);
}

for (const id of readdirSync(cases))
  for (const file of readdirSync(join(cases, id))) {
    const name = file.match(/^(.*)\.request\.json$/)?.[1];
    if (!name) continue;
    const read = (part) => readFileSync(join(cases, id, `${name}.${part}.json`), "utf8");
    const big = id[0].toUpperCase() + id.slice(1), o = `operations["${id}"]`, v = `c${++n}`;
    const response = read("response");
    if (name.endsWith("-problem")) {
      const { status } = JSON.parse(response);
      literal(response, `${v}Problem`, `${o}["responses"][${status}]["content"]["application/problem+json"]`, `types.${big}Errors[${status}]`);
      count.problems++;
      continue;
    }
    if (id.startsWith("post"))
      literal(read("request"), `${v}Request`, `${o}["requestBody"]["content"]["application/json"]`, `types.${big}Data["body"]`);
    else if (id === "getProblem") literal(read("request"), `${v}Request`, `${o}["parameters"]["path"]`, `types.${big}Data["path"]`);
    else if (Object.keys(JSON.parse(read("request"))).length > 0)
      literal(read("request"), `${v}Request`, `NonNullable<${o}["parameters"]["query"]>`, `NonNullable<types.${big}Data["query"]>`);
    literal(response, `${v}Answer`, `${o}["responses"][200]["content"]["application/json"]`, `types.${big}Responses[200]`);
    count.answers++;
  }

writeFileSync("typescript/openapi-typescript.cases.ts", first.join("\n") + "\n");
writeFileSync("typescript/openapi-ts.cases.ts", second.join("\n") + "\n");
console.log(`${count.requests} requests, ${count.answers} answers and ${count.problems} problems, twice`);
