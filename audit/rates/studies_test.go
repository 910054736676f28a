//go:build rates

package rates

import (
	"testing"

	"markaudit/audit/internal/studyrates"
)

// The studies' rates, as often as docs/validation.md says:
//
//	go test -tags rates -run Studies -v ./audit/rates
func TestStudiesOfStops(t *testing.T) { studyrates.Long(t, studyrates.Stops()) }

func TestStudiesOfWheels(t *testing.T) { studyrates.Long(t, studyrates.Wheels()) }

func TestStudiesOfParts(t *testing.T) { studyrates.Long(t, studyrates.Parts()) }

func TestStudiesOfLessons(t *testing.T) { studyrates.Long(t, studyrates.Lessons()) }

func TestStudiesOfClasses(t *testing.T) { studyrates.Long(t, studyrates.Classes()) }
