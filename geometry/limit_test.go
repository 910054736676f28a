package geometry_test

import (
	"testing"

	"markaudit/geometry"
)

// A rectangular limit has the standard uncertainty Half/√3 (JCGM 100, 4.3.7),
// a certificate's Half/k (JCGM 100, 4.3.3).
func TestLimitStandard(t *testing.T) {
	within(t, "limit", float64(geometry.Limit[geometry.Length]{Half: 0.3}.Standard()), 0.17320508075688773, 1e-16)
	// JCGM 100, 4.3.3: U = 240 µg at three standard deviations is u = 80 µg.
	within(t, "certificate", float64(geometry.Limit[geometry.Length]{Half: 240, K: 3}.Standard()), 80, 0)
}
