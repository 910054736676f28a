//go:build !rates

package rates

const long = false
