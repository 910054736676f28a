package cli

import (
	"context"
	"os"
	"os/signal"

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
in, and the next code appears when it has been used.

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
	port := c.Flags().Uint16("port", 0, "port to listen on; 0 for any that is free")
	c.RunE = func(_ *cobra.Command, args []string) error {
		r, err := recorder.Open(env, args[0])
		if err != nil {
			return err
		}
		defer r.Close()
		ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
		defer stop()
		return webserver.Serve(ctx, r, env.Stdout, webserver.Options{LAN: *lan, Port: *port, Software: software, Paper: officePaper})
	}
	return c
}
