// Runs sums.sql on DuckDB over a folder of Parquet files and writes a CSV file:
// node sums.mjs SUMS.SQL LOG OUT.csv
import { readFileSync } from "node:fs";
import { DuckDBInstance } from "@duckdb/node-api";

const [query, log, out] = process.argv.slice(2);
const quoted = (path) => path.replaceAll("'", "''");
const sql = readFileSync(query, "utf8").replaceAll("LOG/", quoted(log) + "/");
const connection = await (await DuckDBInstance.create(":memory:")).connect();
const version = (await connection.runAndReadAll("SELECT version()")).getRows()[0][0];
const start = performance.now();
await connection.run(`COPY (${sql}) TO '${quoted(out)}' (HEADER)`);
console.log(`DuckDB ${version}: ${((performance.now() - start) / 1000).toFixed(2)} s`);
