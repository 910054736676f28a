//go:build rates

package qualify_test

// long: rates over as many as the test says, not a tenth.
const long = true
