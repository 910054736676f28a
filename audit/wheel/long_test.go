//go:build rates

package wheel

// long: rates over as many as the test says, not a tenth.
const long = true
