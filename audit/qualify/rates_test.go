package qualify_test

import (
	"testing"

	"markaudit/audit/internal/studyrates"
)

// What the method page promises of verdicts on stops, a quick look at each;
// audit/rates measures the same at length.
func TestRatesQuick(t *testing.T) { studyrates.Quick(t, studyrates.Stops(), 75) }
