// Lets Node import packages that are written for bundlers: names of files without their ending, and of folders.
export async function resolve(specifier, context, next) {
  try {
    return await next(specifier, context)
  } catch (error) {
    for (const tail of ['.js', '/index.js']) {
      try {
        return await next(specifier + tail, context)
      } catch {
        // it is not that either
      }
    }
    throw error
  }
}
