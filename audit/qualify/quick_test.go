//go:build !rates

package qualify_test

const long = false
