// Package lesson makes the files of a rehearsal, for the command and for the page of
// the shop: the sheet of a stand that does not exist, a form for the answers, and the
// truth under a seal.
package lesson

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"

	"markaudit/audit/rehearse"
	"markaudit/audit/report/export"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/cmd/markaudit/internal/atomicwrite"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"
)

// The endings of the files of a stand.
const (
	SheetEnd  = ".yaml"
	FormEnd   = "-answers.csv"
	SealedEnd = ".sealed"
)

// Stand is what is written of one.
type Stand struct {
	Name                string // of its files, without their endings
	Sheet, Form, Sealed string
}

// Stage draws a stand of a scenario: the same seed gives the same stand. name is that
// of its files; apprentice is whose it is, empty where it is anybody's.
func Stage(csv export.CSV, s rehearse.Scenario, seed uint64, name, apprentice string) (Stand, error) {
	rng := rand.New(rand.NewPCG(seed, 0))
	rig := s.Rig(rng)
	measured, truth := rig.Measure(rng)
	var hands []simulate.TrueHand
	if s.Name == "class" {
		hands = rig.Hands()
	}
	text := "# " + s.About + "\n# Write your answers into " + name + FormEnd + ", then open the seal.\n"
	for _, line := range words.AboutAnswers(len(hands) > 0) {
		text += "# " + line + "\n"
	}
	text += sheet.Write(measured)
	read, _, err := sheet.Read(name+SheetEnd, []byte(text), nil)
	if err != nil {
		return Stand{}, fmt.Errorf("a fault of markaudit, please report it with the scenario and the seed: %w", err)
	}
	sealed, err := rehearse.Seal(rehearse.Sealed{Scenario: s.Name, Seed: seed, Digest: read.Digest, Story: s.Story, Truth: truth, Hands: hands, Name: apprentice, Cause: s.Cause})
	return Stand{name, text, csv.Answers(truth, hands), sealed}, err
}

// Write writes the files of a stand into a folder, none over one that is there, and
// says each.
func (s Stand) Write(env world.World, folder string, said func(path string)) error {
	for _, file := range [][2]string{{SheetEnd, s.Sheet}, {FormEnd, s.Form}, {SealedEnd, s.Sealed}} {
		path := filepath.Join(folder, s.Name+file[0])
		if err := env.Allowed(path); err != nil {
			return fmt.Errorf("%s: %w", phrase.Shown(path), err)
		}
		if err := atomicwrite.WriteNew(path, file[1]); err != nil {
			return err
		}
		said(path)
	}
	return nil
}
