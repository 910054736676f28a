package cli

import (
	"encoding/json"
	"errors"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"markaudit/cmd/markaudit/internal/world"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "rewrite the goldens, the pages of docs/cli and the outputs shown in README and docs")

const top = "../../../../" // the repository

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"markaudit": func() { os.Exit(Run(world.System(), os.Args[1:])) }})
}

// TestScripts runs the case files. Beside what testscript knows, they may say
//
//	status N COMMAND…   run it and expect this exit status
//	object FILE         expect one JSON object
//	array FILE N        expect a JSON array of N objects
func TestScripts(t *testing.T) {
	good, err := filepath.Abs(top + "testdata/sheets/good")
	if err != nil {
		t.Fatal(err)
	}
	study, err := filepath.Abs(top + "testdata/study")
	if err != nil {
		t.Fatal(err)
	}
	past, err := filepath.Abs(top + "testdata/past")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 top + "testdata/cli",
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("GOOD", good)
			e.Setenv("STUDY", study)
			e.Setenv("PAST", past)
			e.Setenv("BELL", "a\ab")
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"status": wantStatus,
			"object": func(ts *testscript.TestScript, _ bool, args []string) {
				var object map[string]any
				ts.Check(json.Unmarshal([]byte(ts.ReadFile(args[0])), &object))
			},
			"array": func(ts *testscript.TestScript, _ bool, args []string) {
				var array []map[string]any
				ts.Check(json.Unmarshal([]byte(ts.ReadFile(args[0])), &array))
				if strconv.Itoa(len(array)) != args[1] {
					ts.Fatalf("found %d objects, want %s", len(array), args[1])
				}
			},
		},
	})
}

func wantStatus(ts *testscript.TestScript, _ bool, args []string) {
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if strconv.Itoa(got) != args[0] {
		ts.Fatalf("found exit status %d, want %s", got, args[0])
	}
}
