package cli

import (
	"context"
	"os"
	"os/signal"
	"runtime"
	"strings"

	"markaudit/audit/report/document"
	"markaudit/cmd/markaudit/internal/devices"
	"markaudit/cmd/markaudit/internal/recorder"
	"markaudit/cmd/markaudit/internal/webserver"
	"markaudit/cmd/markaudit/internal/world"

	"github.com/spf13/cobra"
)

func newServe(env world.World) *cobra.Command {
	c := &cobra.Command{
		Use:     "bench SHEET",
		GroupID: "sheets",
		Short:   "The same on a web page, for a tablet or phone beside the engine",
		Long: `bench serves a page that leads through the readings as record does, into the same
file. It prints the page's address with a code in it; the code lets one device
in, for ten minutes, and the next one appears when it has been used. The page has
the same port next time, and devices that were let in stay in for thirty days.

The page is for this computer alone. --lan opens it to the network that the
computer is on, for a tablet or phone beside the engine: without encryption, so
everyone on that network can read along, though not write. The page needs no
internet and works without scripts. Ctrl-C ends it; every reading is kept.`,
		Example: `markaudit bench pump.yaml
markaudit bench --lan pump.yaml`,
		Args:              oneSheet,
		ValidArgsFunction: cobra.FixedCompletions([]cobra.Completion{"yaml", "yml"}, cobra.ShellCompDirectiveFilterFileExt),
	}
	lan := c.Flags().Bool("lan", false, "open the page to the network that this computer is on")
	port := c.Flags().Uint16("port", 0, "port to listen on; 0 for the last one, or any that is free")
	follow := streamFlags(c)
	c.RunE = func(_ *cobra.Command, args []string) error {
		r, err := recorder.Open(env, args[0])
		if err != nil {
			return err
		}
		defer r.Close()
		live, err := follow(env)
		if err != nil {
			return err
		}
		if live != nil {
			defer live.Close()
		}
		store, err := devices.Open()
		if err != nil { // the page serves without: devices are then let in for this run
			if err := document.Text(env.Stdout, document.Doc{document.Sentence{Lead: "NOTE", Text: err.Error()}}); err != nil {
				return err
			}
		}
		ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
		defer stop()
		return webserver.Serve(ctx, r, env.Stdout, webserver.Options{LAN: *lan, Port: *port, Software: software, Paper: officePaper, Devices: store, Live: live, Blocks: env.OnScreen && showsBlocks()})
	}
	return c
}

// showsBlocks reports whether the terminal shows the characters of which a square
// code is drawn: where it says that it is of UTF-8, and on Windows.
func showsBlocks() bool {
	if runtime.GOOS == "windows" {
		return true
	}
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if value := strings.ToUpper(os.Getenv(name)); value != "" {
			return strings.Contains(value, "UTF-8") || strings.Contains(value, "UTF8")
		}
	}
	return false
}
