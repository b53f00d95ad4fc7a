// Opens every Parquet file of an archive with two readers that share no code with its writers, and prints what they find as
// JSON: rows, and for each column its type, nulls, smallest and largest value and, for numbers, the sum.
//
//   node read.mjs ARCHIVE
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

async function byDuckDB(path) {
  const from = `read_parquet(${quote(path)}, hive_partitioning = false)`
  const columns = {}
  for (const { column_name: name, column_type: type } of await rowsOf(`describe select * from ${from}`)) {
    const value = type.startsWith('TIMESTAMP') ? `epoch_us("${name}")` : `"${name}"`
    const number = /^(INTEGER|BIGINT|DOUBLE)$/.test(type)
    // The first four may come from the footer alone; scanned, from the values.
    const [found] = await rowsOf(`select (count(*) - count("${name}"))::varchar as nulls, min(${value})::varchar as min, max(${value})::varchar as max
      ${number ? `, sum("${name}")::varchar as sum` : ''} from ${from}`)
    const [scanned] = await rowsOf(`select sum(case when v is null then 1 else 0 end)::varchar as nulls, min(v)::varchar as min, max(v)::varchar as max
      from (select ${value} as v from ${from} offset 0) where v is null or v::varchar is not null`)
    columns[name] = { type, ...found, scanned: { ...scanned, nulls: scanned.nulls ?? '0' } }
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
    const values = rows.map((row) => row[name]).filter((value) => value !== null && value !== undefined)
    const exact = type === 'INT32' || type === 'INT64'
    // By code points, which is the order of UTF-8; JavaScript's own is by half-pairs.
    const key = typeof values[0] === 'string' ? (value) => Buffer.from(value) : (value) => value
    const less = (a, b) => (Buffer.isBuffer(a) ? Buffer.compare(a, b) < 0 : a < b)
    let min, max
    for (const value of values) {
      if (min === undefined || less(key(value), key(min))) min = value
      if (max === undefined || less(key(max), key(value))) max = value
    }
    const sum = exact ? values.reduce((total, value) => total + BigInt(value), 0n) : type === 'DOUBLE' ? values.reduce((total, value) => total + value, 0) : undefined
    const kind = [type, repetition, logical?.type, logical?.unit, logical?.isAdjustedToUTC && 'UTC'].filter(Boolean).join(' ')
    columns[name] = { type: kind, nulls: String(rows.length - values.length), min: min?.toString(), max: max?.toString(), sum: values.length ? sum?.toString() : undefined }
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
