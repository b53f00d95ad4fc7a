// Runs the queries that README shows. DuckDB's are run as they are. No Spark is to be had where the tests run: of its queries every statement must be
// right by Spark's grammar, and DuckDB runs the SELECT over the view that the statement before it describes. Prints the rows of each as JSON.
//
//   node snippets.mjs FOLDER QUERIES.json    with {"duckdb": [SQL…], "spark": [SQL…]}, beside the folder archive
import { readFileSync } from 'node:fs'
import { register } from 'node:module'
import { DuckDBInstance } from '@duckdb/node-api'

register('./resolve.mjs', import.meta.url)
const { SparkSQL } = await import('dt-sql-parser/dist/parser/spark/index.js')

const [folder, queries] = process.argv.slice(2)
const { duckdb, spark } = JSON.parse(readFileSync(queries, 'utf8'))
process.chdir(folder)
const db = await (await DuckDBInstance.create(':memory:')).connect()
const rowsOf = async (sql) => (await db.runAndReadAll(sql)).getRowObjectsJson()

const grammar = new SparkSQL()
const found = { duckdb: [], spark: [] }
for (const sql of duckdb) found.duckdb.push(await rowsOf(sql))
for (const sql of spark) {
  const wrong = grammar.validate(sql)
  if (wrong.length > 0) throw new Error(`not by Spark's grammar: ${JSON.stringify(wrong)}\n${sql}`)
  for (const { text } of grammar.splitSQLByStatement(sql)) {
    const view = /^CREATE (?:OR REPLACE )?TEMPORARY VIEW (\w+) USING parquet\s+OPTIONS \(([^)]*)\)/.exec(text.trim())
    if (!view) {
      found.spark.push(await rowsOf(text.trim().replace(/;$/, '')))
      continue
    }
    const options = Object.fromEntries([...view[2].matchAll(/(\w+) '([^']*)'/g)].map(([, name, value]) => [name, value]))
    if (options.basePath !== options.path.split('/*')[0]) throw new Error(`folders below ${options.basePath} give no columns for ${options.path}`)
    await db.run(`CREATE OR REPLACE TEMPORARY VIEW ${view[1]} AS FROM read_parquet('${options.path}', hive_partitioning = true, union_by_name = ${options.mergeSchema === 'true'})`)
  }
}
console.log(JSON.stringify(found))
