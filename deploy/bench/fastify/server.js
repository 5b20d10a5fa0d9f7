// Fastify with its own ajv: checks each request against the schema of the
// contract, then answers with bytes from a file. It calculates nothing.
// usage: node server.js <port> <contract.json> <folder of answers>
import { readFileSync, readdirSync } from "node:fs";
import { join, basename } from "node:path";
import fastify from "fastify";

const [port, contractFile, answers] = process.argv.slice(2);
const contract = JSON.parse(readFileSync(contractFile));
const resolve = (ref) => ref.slice(2).split("/").reduce((at, key) => at[key.replaceAll("~1", "/").replaceAll("~0", "~")], contract);

// plain makes a JSON Schema of an OpenAPI 3.0 one: references put in, what ajv does not know left out.
function plain(schema) {
  if (Array.isArray(schema)) return schema.map(plain);
  if (schema === null || typeof schema !== "object") return schema;
  if (schema.$ref) return plain(resolve(schema.$ref));
  const out = {};
  for (const [key, value] of Object.entries(schema)) {
    if (key.startsWith("x-") || key === "example" || (key === "format" && /^(double|int32|int64)$/.test(value))) continue;
    out[key] = key === "properties" ? Object.fromEntries(Object.entries(value).map(([name, s]) => [name, plain(s)])) : plain(value);
  }
  return out;
}

const app = fastify({ logger: false, ajv: { customOptions: { allErrors: true, removeAdditional: false, coerceTypes: true, strict: false } } });
for (const file of readdirSync(answers)) {
  const name = basename(file, ".json");
  const body = readFileSync(join(answers, file));
  const item = contract.paths[`/v1/${name}`];
  const answer = (request, reply) => reply.type("application/json").send(body);
  app.post(`/v1/${name}`, { schema: { body: plain(item.post.requestBody.content["application/json"].schema) } }, answer);
  if (item.get) {
    const query = { type: "object", additionalProperties: false, properties: {}, required: [] };
    for (const listed of item.get.parameters) {
      const p = listed.$ref ? resolve(listed.$ref) : listed;
      query.properties[p.name] = plain(p.schema);
      if (p.required) query.required.push(p.name);
    }
    app.get(`/v1/${name}`, { schema: { querystring: query } }, answer);
  }
}
const address = await app.listen({ port: Number(port), host: "127.0.0.1" });
console.log(`listens on ${address}`);
