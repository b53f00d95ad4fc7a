package compute

// DefinitionsVersion numbers the definitions that figures follow. It is part of an edition's id: a change of any figure raises it,
// and a test holds the figures of known frames against it.
const DefinitionsVersion = 2
