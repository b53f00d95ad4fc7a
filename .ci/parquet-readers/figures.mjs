// Works out the figures of an edition again from its archived frames, in SQL, and prints beside each what the edition's tables
// say. One line a figure: table, key, column, value, and the archived value of those that are a column; "NA" where there is none.
//
//   node figures.mjs EDITION DISPLAY_HZ
import { join } from 'node:path'
import { DuckDBInstance } from '@duckdb/node-api'

const [edition, displayHz] = [process.argv[2], Number(process.argv[3])]
const db = await (await DuckDBInstance.create(':memory:')).connect()
const file = (name) => `read_parquet('${join(edition, name).replaceAll("'", "''")}', hive_partitioning = false)`
const rowsOf = async (sql) => (await db.runAndReadAll(sql)).getRowObjectsJson()

await db.run(`create view runs as select *, concat_ws(' ', card, mode, game, variant, resolution) as cell from ${file('runs.parquet')}`)
await db.run(`create view cells as select * from ${file('cells.parquet')}`)
await db.run(`create view comparisons as select * from ${file('comparisons.parquet')}`)
await db.run(`create table frames as
  select run_id, frame, kept, frame_ns::double as x, (sum(frame_ns) over (partition by run_id order by frame))::bigint as ends, frame_ns
  from ${file('frames-*.parquet')}`)

// Of each run: how many frames are marked as kept that ought not to be, or the other way round.
const cuts = await rowsOf(`
  select run_id, sum((not kept)::int)::int as frames_cut,
    sum((kept <> (ends - frame_ns >= warmup_s * 1e9 and ends <= (warmup_s + length_s) * 1e9))::int)::int as kept_wrongly
  from frames join runs using (run_id) group by run_id`)

await db.run(`create table kept as
  with whole as (
    select run_id, count(*) as n, sum(frame_ns)::double as total, avg(x) as mean, median(x) as middle from frames where kept group by run_id)
  select f.run_id, frame, x, n, total, mean,
    lag(x) over series as before,
    row_number() over slowest as place,
    sum(frame_ns) over (slowest rows unbounded preceding) as slow_ns,
    median(x) over (series rows between greatest(15, ceil(2e9 / middle))::bigint preceding and greatest(15, ceil(2e9 / middle))::bigint following) as around
  from frames f join whole using (run_id) where kept
  window series as (partition by f.run_id order by frame), slowest as (partition by f.run_id order by x desc)`)
await db.run(`create table marked as
  select *, hitch and not coalesce(lag(hitch) over (partition by run_id order by frame), false) as begins
  from (select *, x > around + greatest(8e6, least(around, 50e6)) as hitch from kept)`)

const low = (name, part) => `
  1e9 / quantile_cont(x, 1 - 1.0 / ${part}) as ${name}_quantile_fps,
  1e9 / (avg(x) filter (where place <= ceil(n / ${part}))) as ${name}_tail_mean_fps,
  1e9 / (max(x) filter (where ${part} * slow_ns >= total)) as ${name}_time_share_fps`
const over = (hz) => `coalesce(sum(x) filter (where x > 1.05e9 / ${hz}), 0) / any_value(total)`
await db.run(`create table figures as select run_id,
  count(*)::int as frames, any_value(total) / 1e9 as duration_s, 1e9 * count(*) / any_value(total) as mean_fps,
  any_value(mean) / 1e6 as frame_ms_mean, stddev_samp(x) / 1e6 as frame_ms_sd,
  ${[['p50', 0.5], ['p95', 0.95], ['p99', 0.99], ['p999', 0.999]].map(([name, p]) => `quantile_cont(x, ${p}) / 1e6 as frame_ms_${name}`).join(', ')},
  max(x) / 1e6 as frame_ms_max, ${low('low1', 100)}, ${low('low01', 1000)},
  sqrt(sum((x - before) ** 2) / (count(*) - 1)) / 1e6 as rmssd_ms,
  sum((x - mean) * (before - mean)) / sum((x - mean) ** 2) as lag1,
  ${over(60)} as over_60hz_share, ${over(120)} as over_120hz_share, ${over(displayHz)} as over_display_share,
  sum(hitch::int)::int as hitch_frames, sum(begins::int)::int as hitch_events,
  coalesce(sum(x - around) filter (where hitch), 0) / any_value(total) as hitch_time_share
  from marked group by run_id`)

// Cells: launches first, on the metric's scale; the demo's metrics by name, so that no table of the edition says how.
const metrics = (await rowsOf('describe figures')).map((c) => c.column_name).filter((name) => !['run_id', 'frames', 'duration_s', 'lag1', 'hitch_frames'].includes(name))
const scale = (metric) => (metric === 'hitch_events' ? 'count' : metric.endsWith('_share') ? 'difference' : 'ratio')
await db.run(`create table samples as
  select cell, launch, session, duration_s, metric, y, case when metric like '%_share' or metric = 'hitch_events' then y else ln(y) end as s
  from (unpivot (select r.cell, r.launch, r.session, f.duration_s, ${metrics.map((m) => `f.${m}::double as ${m}`).join(', ')}
    from figures f join runs r using (run_id) where r.status = 'used') on ${metrics.join(', ')} into name metric value y)`)
await db.run(`create table centres as
  with launches as (select cell, metric, session, launch, avg(s) as s from samples group by all),
  means as (select cell, metric, avg(s) as s, stddev_samp(s) as sd, count(*)::int as launches from launches group by all),
  passes as (select cell, metric, count(*)::int as n, count(distinct session)::int as sessions, max(y) - min(y) as range, sum(y) * 60 / sum(duration_s) as rate
    from samples group by all)
  select *, case when metric = 'hitch_events' then rate when metric like '%_share' then s else exp(s) end as mean from means join passes using (cell, metric)`)

const text = (value) => (value === null || value === undefined ? 'NA' : String(value))
const lines = []
const put = (table, key, found, archived) => {
  for (const [column, value] of Object.entries(found)) {
    lines.push([table, key, column, text(value), ...(column in archived ? [text(archived[column])] : [])].join('\t'))
  }
}
const archivedRuns = new Map((await rowsOf('select * from runs')).map((row) => [row.run_id, row]))
const cutOf = new Map(cuts.map((row) => [row.run_id, row]))
for (const { run_id: id, ...found } of await rowsOf('select * from figures')) {
  const row = archivedRuns.get(id)
  const { run_id, ...cut } = cutOf.get(id)
  put('runs', `${row.cell} ${row.repeat}`, { ...found, ...cut }, row)
}
const archivedCells = new Map((await rowsOf(`select *, concat_ws(' ', card, mode, game, variant, resolution, metric) as key from cells`)).map((row) => [row.key, row]))
const centres = new Map()
for (const { cell, metric, n, launches, sessions, mean, s, sd, range } of await rowsOf('select * from centres')) {
  const kind = scale(metric)
  centres.set(`${cell} ${metric}`, { n, mean, s })
  const spread = kind === 'count' ? null : kind === 'ratio' ? 100 * sd : sd
  const found = { n, launches, sessions, mean, sd: spread, spread_pct: kind === 'ratio' ? (100 * range) / mean : null }
  put('cells', `${cell} ${metric}`, found, archivedCells.get(`${cell} ${metric}`))
}
for (const row of await rowsOf('select * from comparisons')) {
  const where = `${row.game} ${row.variant} ${row.resolution} ${row.metric}`
  const a = centres.get(`${row.card} ${row.mode} ${where}`)
  const b = centres.get(`${row.base_card} ${row.base_mode} ${where}`)
  if (!a || !b) continue // a side that does not run
  const kind = scale(row.metric)
  const ratio = kind === 'ratio' ? Math.exp(a.s - b.s) : kind === 'count' && b.mean > 0 ? a.mean / b.mean : null
  const percent = kind === 'ratio' ? 100 * Math.expm1(a.s - b.s) : ratio === null ? null : 100 * (ratio - 1)
  const found = { n: a.n, base_n: b.n, difference: a.mean - b.mean, ratio, percent }
  put('comparisons', `${row.card} ${row.mode} ${row.game} ${row.variant} ${row.resolution} against ${row.base_card} ${row.base_mode} ${row.metric}`, found, row)
}
process.stdout.write(lines.join('\n') + '\n')
