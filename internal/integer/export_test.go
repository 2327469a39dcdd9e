package integer

// Spent is for the tests from outside.
var Spent = spent
