package units

// Version is the version of the library, all packages together, as semantic versioning
// writes it. Every answer carries it in its field Library, so that a stored answer says what
// made it.
const Version = "0.1.0"
