package cli

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/signal"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"markaudit/audit/report/document"
	"markaudit/cmd/markaudit/internal/devices"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/webserver"
	"markaudit/cmd/markaudit/internal/world"
)

func newShop(env world.World) *cobra.Command {
	c := &cobra.Command{
		Use:     "shop [FOLDER]",
		GroupID: "sheets",
		Short:   "Everything on a page: the jobs of a folder, from the first question to the proof",
		Long: `shop opens a page with the jobs of a folder, the newest first: where each stands,
and the one thing to do next. A new job begins with questions, one at a time;
then the page leads through the readings at the engine, shows the result, asks
for the check by eye, and only then says where to scribe. Sheets and readings are
the same files as those of the other commands.

FOLDER is the folder of the jobs. Without it the one of last time is shown, else
the current one. The page is for this computer alone, and needs no internet;
--lan, or a button on the page, opens it to the network that the computer is on.
Nothing outside the folder is read or written. Ctrl-C ends it; every reading is
kept. A double click on the program does the same.`,
		Example: `markaudit shop
markaudit shop engines-2026`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) > 1 {
				return bad(c, "found %s, expected one folder", phrase.Count(len(args), "argument"))
			}
			return nil
		},
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
			return nil, cobra.ShellCompDirectiveFilterDirs
		},
	}
	lan := c.Flags().Bool("lan", false, "open the page to the network that this computer is on")
	port := c.Flags().Uint16("port", 0, "port to listen on; 0 for the last one, or any that is free")
	quiet := c.Flags().Bool("no-browser", false, "open no browser, only say the address")
	ask := c.Flags().Bool("ask-folder", false, "where no folder is remembered, ask on the page where the jobs shall be kept: for a double click")
	follow := streamFlags(c)
	c.RunE = func(_ *cobra.Command, args []string) error {
		live, err := follow(env)
		if err != nil {
			return err
		}
		if live != nil {
			defer live.Close()
		}
		o := webserver.ShopOptions{Open: !*quiet}
		o.LAN, o.Port, o.Live = *lan, *port, live
		if len(args) == 1 {
			o.Folder = args[0]
		}
		return serveShop(env, o, *ask)
	}
	return c
}

// serveShop serves the page of the shop until it is ended. After a double click with
// no folder of last time, the page asks where the jobs shall be kept.
func serveShop(env world.World, o webserver.ShopOptions, clicked bool) error {
	store, err := devices.Open()
	if err != nil { // the page serves without: devices are then let in for this run
		if err := document.Text(env.Stdout, document.Doc{document.Sentence{Lead: "NOTE", Text: err.Error()}}); err != nil {
			return err
		}
	}
	if o.Folder == "" {
		o.Folder = store.Folder()
		if info, err := os.Stat(o.Folder); err != nil || !info.IsDir() {
			o.Folder = "." // that of last time is gone
			if clicked {
				o.Folder = ""
			}
		}
	}
	if o.Folder == "" {
		o.Places, o.Make = places(), makeFolder
	}
	o.Software, o.Paper, o.Devices, o.Blocks = software, officePaper, store, env.OnScreen && showsBlocks()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	return webserver.Shop(ctx, env, env.Stdout, o)
}

// places are the folders that are offered for the jobs: among the person's documents,
// and where the program lies, as on a stick.
func places() []string {
	var out []string
	if home, err := os.UserHomeDir(); err == nil {
		out = append(out, filepath.Join(home, "Documents", "markaudit"))
	}
	if program, err := os.Executable(); err == nil {
		if folder := filepath.Dir(program); !slices.Contains(out, folder) {
			out = append(out, folder)
		}
	}
	return out
}

// makeFolder makes a folder that is not there yet.
func makeFolder(path string) error {
	if !filepath.IsAbs(path) {
		return fmt.Errorf("found %s, expected a folder typed in full, from the drive or the root on", phrase.Shown(path))
	}
	err := os.MkdirAll(path, 0o777)
	switch {
	case errors.Is(err, fs.ErrPermission):
		return fmt.Errorf("%s: not allowed, expected a folder in which you may write", phrase.Shown(path))
	case err != nil:
		return fmt.Errorf("%s: %w", phrase.Shown(path), world.Plainly(err))
	}
	return nil
}
