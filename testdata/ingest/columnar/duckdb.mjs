// Writes duckdb.parquet, a log as DuckDB types it, and duckdb.csv, the same as
// text: node duckdb.mjs FOLDER, with @duckdb/node-api as in testdata/warehouse.
import { DuckDBInstance } from "@duckdb/node-api";

const out = process.argv[2].replaceAll("'", "''");
const connection = await (await DuckDBInstance.create(":memory:")).connect();
await connection.run(`
CREATE TABLE casts AS SELECT
  1000 + i AS cast_no,
  DATE '2025-01-06' + CAST(i // 4 AS INTEGER) AS date,
  TIME '08:10:00' + to_minutes(i % 4 * 95) AS time,
  ['M-01', 'M-02', 'M-03', 'M-04', 'M-05'][1 + i % 5]::ENUM ('M-01', 'M-02', 'M-03', 'M-04', 'M-05') AS mold,
  CASE WHEN i % 7 > 0 THEN 'S' || (1 + i // 40) END AS slip,
  CAST(15 + i % 9 * 0.5 AS DECIMAL(5, 1)) AS dwell_min,
  CASE WHEN i % 11 > 0 THEN [CAST(4.2 + i % 13 * 0.1 AS DECIMAL(4, 2)), CAST(4.25 + i % 10 * 0.1 AS DECIMAL(4, 2))]::DOUBLE[] END AS wall_mm,
  CAST(18 + i % 5 AS FLOAT) + CAST(0.3 AS FLOAT) AS room_temp_c,
  CASE i % 10 WHEN 3 THEN 'reject' WHEN 8 THEN NULL ELSE 'good' END AS result
FROM range(300) t(i)`);
await connection.run(`COPY casts TO '${out}/duckdb.parquet' (FORMAT parquet, COMPRESSION zstd, ROW_GROUP_SIZE 128)`);
await connection.run(`COPY (SELECT cast_no, date, left(CAST(time AS VARCHAR), 5) AS time, mold, slip, dwell_min, wall_mm[1] AS wall_1_mm, wall_mm[2] AS wall_2_mm,
  room_temp_c, result FROM casts) TO '${out}/duckdb.csv' (HEADER)`);
console.log((await connection.runAndReadAll("SELECT version()")).getRows()[0][0]);
