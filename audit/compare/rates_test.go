package compare_test

import (
	"testing"

	"markaudit/audit/internal/studyrates"
)

// What the method page promises of the part that moved, a quick look at each;
// audit/rates measures the same at length.
func TestRatesQuick(t *testing.T) { studyrates.Quick(t, studyrates.Parts(), 8) }
