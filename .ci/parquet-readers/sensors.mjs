// Works out what the sensors beside passes say from the archived logs alone, in SQL: trapezoids between samples, cut where the kept time begins
// and ends. One line a figure: table, key, column, value, and the archived value.
//
//   node sensors.mjs EDITION POWER CLOCK TEMPERATURE     the channels, as the plan names them
import { join } from 'node:path'
import { DuckDBInstance } from '@duckdb/node-api'

const [edition, ...channels] = process.argv.slice(2)
const db = await (await DuckDBInstance.create(':memory:')).connect()
const file = (name) => `read_parquet('${join(edition, name).replaceAll("'", "''")}', hive_partitioning = false)`
const rowsOf = async (sql) => (await db.runAndReadAll(sql)).getRowObjectsJson()

await db.run(`create view runs as select * from ${file('runs.parquet')}`)
await db.run(`create table means as
  with steps as (
    select frames_run_id as run_id, channel, time_ns as t, value as v, lead(time_ns) over w as t2, lead(value) over w as v2
    from ${file('sensors-*.parquet')} where protocol is null window w as (partition by frames_run_id, channel order by time_ns)),
  cut as (
    select s.*, greatest(t, sensed_from_ns) as a, least(t2, sensed_to_ns) as b
    from steps s join runs using (run_id) where t2 > sensed_from_ns and t < sensed_to_ns)
  select run_id, channel, sum((b - a) * (2 * v + (v2 - v) * ((a - t) + (b - t)) / (t2 - t)) / 2) / sum(b - a) as mean
  from cut group by run_id, channel`)
const mean = (i) => `(select mean from means m where m.run_id = r.run_id and channel = '${channels[i]}')`
const rows = await rowsOf(`
  select concat_ws(' ', card, mode, game, variant, resolution, repeat) as key,
    ${mean(0)} as mean_power_w, ${mean(0)} * (sensed_to_ns - sensed_from_ns) / 1e9 / frames as energy_per_frame_j,
    frames / (${mean(0)} * (sensed_to_ns - sensed_from_ns) / 1e9) as frames_per_joule,
    ${mean(1)} as clock_mean_mhz, ${mean(2)} as mean_temp_c,
    (select arg_min(value, time_ns) from ${file('sensors-*.parquet')} s where s.frames_run_id = r.run_id and channel = '${channels[2]}') as start_temp_c
  from runs r`)
const archived = new Map((await rowsOf(`select concat_ws(' ', card, mode, game, variant, resolution, repeat) as key, * from runs`)).map((r) => [r.key, r]))
for (const row of rows) {
  for (const [column, value] of Object.entries(row)) {
    if (column !== 'key') console.log(['runs', row.key, column, value ?? 'NA', archived.get(row.key)[column] ?? 'NA'].join('\t'))
  }
}
