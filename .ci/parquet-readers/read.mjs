// Opens every Parquet file of an archive with two readers that share no code with its writers, and prints what they find as
// JSON: rows, and for each column its type, nulls, smallest and largest value and a digest of all its values in their order.
//
//   node read.mjs ARCHIVE
import { createHash } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { DuckDBInstance } from '@duckdb/node-api'
import { parquetMetadata, parquetReadObjects } from 'hyparquet'
import { compressors } from 'hyparquet-compressors'

const archive = process.argv[2]
const files = readdirSync(archive, { recursive: true }).filter((name) => name.endsWith('.parquet')).sort()
const db = await (await DuckDBInstance.create(':memory:')).connect()

const quote = (text) => `'${text.replaceAll("'", "''")}'`
const rowsOf = async (sql) => (await db.runAndReadAll(sql)).getRowObjectsJson()

// In the notation of export/archive/outside: a number with a fraction by its bits, a text behind its length in bytes.
const bits = new DataView(new ArrayBuffer(8))
function digest(values, type) {
  const hash = createHash('sha256')
  let lines = []
  const flush = () => {
    hash.update(lines.join(''))
    lines = []
  }
  for (const value of values) {
    if (value === null || value === undefined) lines.push('-\n')
    else if (type === 'DOUBLE') {
      bits.setFloat64(0, value)
      lines.push(bits.getUint32(0).toString(16).padStart(8, '0'), bits.getUint32(4).toString(16).padStart(8, '0'), '\n')
    } else if (typeof value === 'string') lines.push(`${Buffer.byteLength(value)}:${value}\n`)
    else lines.push(`${value}\n`)
    if (lines.length > 10000) flush()
  }
  flush()
  return hash.digest('hex')
}

async function byDuckDB(path) {
  const from = `read_parquet(${quote(path)}, hive_partitioning = false)`
  const columns = {}
  for (const { column_name: name, column_type: type } of await rowsOf(`describe select * from ${from}`)) {
    const value = type.startsWith('TIMESTAMP') ? `epoch_us("${name}")` : `"${name}"`
    // The first four may come from the footer alone; scanned, from the values.
    const [found] = await rowsOf(`select (count(*) - count("${name}"))::varchar as nulls, min(${value})::varchar as min, max(${value})::varchar as max from ${from}`)
    const [scanned] = await rowsOf(`select sum(case when v is null then 1 else 0 end)::varchar as nulls, min(v)::varchar as min, max(v)::varchar as max
      from (select ${value} as v from ${from} offset 0) where v is null or v::varchar is not null`)
    const [all] = (await db.runAndReadAll(`select ${value} from ${from}`)).getColumns()
    columns[name] = { type, ...found, digest: digest(all ?? [], type), scanned: { ...scanned, nulls: scanned.nulls ?? '0' } }
  }
  const [{ rows }] = await rowsOf(`select count(*)::varchar as rows from ${from}`)
  return { rows, columns }
}

async function byHyparquet(path) {
  const bytes = readFileSync(path)
  const file = bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength)
  const metadata = parquetMetadata(file)
  // Timestamps as the integers they are.
  const parsers = { timestampFromMicroseconds: (micros) => micros }
  const rows = await parquetReadObjects({ file, metadata, compressors, parsers })
  const columns = {}
  for (const { name, type, repetition_type: repetition, logical_type: logical } of metadata.schema.slice(1)) {
    const all = rows.map((row) => row[name])
    const values = all.filter((value) => value !== null && value !== undefined)
    // By code points, which is the order of UTF-8; JavaScript's own is by half-pairs.
    const key = typeof values[0] === 'string' ? (value) => Buffer.from(value) : (value) => value
    const less = (a, b) => (Buffer.isBuffer(a) ? Buffer.compare(a, b) < 0 : a < b)
    let min, max
    for (const value of values) {
      if (min === undefined || less(key(value), key(min))) min = value
      if (max === undefined || less(key(max), key(value))) max = value
    }
    const kind = [type, repetition, logical?.type, logical?.unit, logical?.isAdjustedToUTC && 'UTC'].filter(Boolean).join(' ')
    columns[name] = { type: kind, nulls: String(rows.length - values.length), min: min?.toString(), max: max?.toString(), digest: digest(all, type) }
  }
  return { rows: String(rows.length), columns }
}

const found = []
for (const name of files) {
  const path = join(archive, name)
  found.push({ path: name.replaceAll('\\', '/'), duckdb: await byDuckDB(path), hyparquet: await byHyparquet(path) })
}
const glob = quote(join(archive, 'editions/*/*/runs.parquet'))
const editions = await rowsOf(`select review, edition, count(*)::varchar as rows from read_parquet(${glob}, hive_partitioning = true) group by all order by all`)
console.log(JSON.stringify({ files: found, editions }, (_, value) => (typeof value === 'bigint' ? value.toString() : value), 1))
