//go:build rates

package rates

// long: every cell is drawn as often as it says.
const long = true
