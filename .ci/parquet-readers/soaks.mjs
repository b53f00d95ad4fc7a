// Works out what the soaks of an edition come to again from its archived sensors alone, in SQL, and prints beside each figure what the
// edition's readings say. One line a figure: table, key, column, value, archived value.
//
//   node soaks.mjs EDITION
import { join } from 'node:path'
import { DuckDBInstance } from '@duckdb/node-api'

const edition = process.argv[2]
const db = await (await DuckDBInstance.create(':memory:')).connect()
const quote = (text) => `'${text.replaceAll("'", "''")}'`
const file = (name, more = '') => `read_parquet(${quote(join(edition, name))}, hive_partitioning = false${more})`
const rowsOf = async (sql) => (await db.runAndReadAll(sql)).getRowObjectsJson()

// The readings that come from a log, with the stretch of it that they are of.
await db.run(`create table readings as select concat_ws(' ', protocol, card, mode, repeat, sensor) as key,
    case when probe_group is null then figure else 'group ' || figure end as figure, source as run_id, sensor as channel,
    sensed_from_ns as from_ns, sensed_to_ns as to_ns, value, n
  from ${file('readings.parquet')} where protocol is not null and base_card is null and sensed_to_ns is not null and value is not null`)
// Samples of one time stay in the order of the log.
await db.run(`create table samples as select run_id, channel, time_ns as t, value as v,
    row_number() over (partition by filename, run_id, channel order by file_row_number) as i
  from ${file('sensors-*.parquet', ', filename = true, file_row_number = true')} where protocol is not null`)
// Stretches between neighbouring samples. One of more than ten times the median interval is a gap.
await db.run(`create table stretches as
  with pairs as (select *, lead(t) over series as t2, lead(v) over series as v2 from samples window series as (partition by run_id, channel order by i)),
  whole as (select run_id, channel, median(t2 - t) as middle from pairs where t2 is not null group by all)
  select pairs.* from pairs join whole using (run_id, channel) where t2 is not null and t2 - t <= 10 * middle`)
// The trapezoid of each stretch, as far as it lies in that of the figure, cut on the straight line.
await db.run(`create table means as
  with parts as (select key, figure, greatest(t, from_ns) as a, least(t2, to_ns) as b, t, t2, v, v2, (to_ns - from_ns) / 1e9 as long_s
    from readings join stretches using (run_id, channel) where least(t2, to_ns) > greatest(t, from_ns)),
  cut as (select *, v + (v2 - v) * (a - t) / (t2 - t) as va, v + (v2 - v) * (b - t) / (t2 - t) as vb from parts)
  select key, figure, sum((b - a) * (va + vb) / 2) / sum(b - a) as mean, any_value(long_s) as long_s from cut group by all`)
const found = await rowsOf(`
  select key, figure, value as archived, case figure when 'energy_j' then mean * long_s when 'energy_per_frame_j' then mean * long_s / n else mean end as value
    from readings join means using (key, figure) where figure in ('mean_power_w', 'energy_j', 'energy_per_frame_j', 'clock_mean_mhz', 'end_c')
  union all
  select key, figure, any_value(value), max(v) from readings join samples using (run_id, channel)
    where figure in ('peak_power_w', 'peak_c', 'group peak_c') and t between from_ns and to_ns group by all`)
process.stdout.write(found.map((row) => ['readings', row.key, row.figure, row.value, row.archived].join('\t') + '\n').join(''))
