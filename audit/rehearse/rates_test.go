package rehearse_test

import (
	"testing"

	"markaudit/audit/internal/studyrates"
)

// What ways of answering come to, a quick look at each; audit/rates measures the same
// at length.
func TestRatesQuick(t *testing.T) { studyrates.Quick(t, studyrates.Lessons(), 8) }
