//go:build !rates

package wheel

const long = false
