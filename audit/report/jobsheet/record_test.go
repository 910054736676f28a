package jobsheet

import (
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"

	"markaudit/audit"
	"markaudit/audit/jobrecord"
	"markaudit/audit/report/document"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/report/words"
)

var files = os.DirFS("../../../testdata")

// spoken is the audit of one of the good sheets, ready to be put into words.
func spoken(t *testing.T, name string) words.Audit {
	t.Helper()
	r, err := audit.Run(reporttest.GoodSheets(t, files)[name])
	if err != nil {
		t.Fatal(err)
	}
	v := words.NewAudit(r, audit.Next(r))
	v.ByDividers = true // as all that is printed
	return v
}

// The title block says what the sheet says, and leaves open what it does not.
func TestRecord(t *testing.T) {
	v := spoken(t, "demo")
	v.Result.Sheet.Workshop, v.Result.Sheet.Customer, v.Result.Sheet.Issued = "Hill Street", "Ferry Co", "2026-05-22"
	got := Record(v, document.Options{Path: "demo.yaml", Software: "markaudit 0"})
	want := jobrecord.Job{
		Workshop: "Hill Street", Customer: "Ferry Co", Number: "W-0588", Issued: "2026-05-22",
		Engine: "Ferry winch, six-cylinder diesel, No 20611", Part: "crank pulley, No 3-114",
		Measured: "2026-05-20 and 2026-05-21", Readout: "brass wheel, step 0.5°", Method: "positive stop",
	}
	if diff := cmp.Diff(want, got.Job); diff != "" {
		t.Error(diff)
	}
	if got.By != "Mirela, Joss" || got.Files[0].Digest != v.Result.Sheet.Digest || got.Rule == "" {
		t.Errorf("got %+v", got)
	}
	bare := spoken(t, "demo")
	for i := range bare.Result.Sheet.Setups {
		bare.Result.Sheet.Setups[i].Date, bare.Result.Sheet.Setups[i].By = "", ""
	}
	bare.Result.Sheet.Title, bare.Result.Sheet.Date, bare.Result.Sheet.Part.Number = "", "2026-05", ""
	got = Record(bare, document.Options{})
	if j := got.Job; j.Engine != "No 20611" || j.Part != "crank pulley" || j.Measured != "2026-05" || j.Workshop != "" || got.By != "" {
		t.Errorf("got %+v", j)
	}
}
