package main

import (
	"context"
	"fmt"
	"io"
	"net"
	"os"
	"os/signal"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"markaudit/audit/report/document"
)

func newBench(env Env) *cobra.Command {
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
		r, err := openRecorder(env, args[0])
		if err != nil {
			return err
		}
		defer r.close()
		ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
		defer stop()
		return servePage(ctx, env, r, *lan, *port)
	}
	return c
}

// servePage serves the page until the context ends.
func servePage(ctx context.Context, env Env, r *recorder, lan bool, port uint16) error {
	address := "127.0.0.1"
	if lan {
		address = ""
	}
	l, err := net.Listen("tcp", net.JoinHostPort(address, strconv.Itoa(int(port))))
	if err != nil {
		return fmt.Errorf("cannot serve the page: %w", err)
	}
	names, err := hosts(lan)
	if err != nil {
		_ = l.Close() // nothing was served
		return fmt.Errorf("cannot find the addresses of this computer: %w", err)
	}
	served := strconv.Itoa(l.Addr().(*net.TCPAddr).Port)
	say := func(blocks ...document.Block) { _ = document.Text(env.Stdout, blocks) } // the sink remembers trouble
	for _, told := range r.told {
		say(document.Sentence{Text: told})
	}
	if lan {
		say(document.Sentence{Lead: "NOTE", Text: "the page goes over the network without encryption: who is on it can read along. End it when you are done."})
	}
	show := names[:1] // this computer
	if lan && len(names) > 3 {
		show = names[3:]
	}
	g := newGate(time.Now, func(code string) {
		var b strings.Builder
		b.WriteString("\nFor one device:\n")
		for _, name := range show {
			fmt.Fprintf(&b, "  http://%s/enter/%s\n", net.JoinHostPort(strings.Trim(name, "[]"), served), code)
		}
		_, _ = io.WriteString(env.Stdout, b.String()) // the sink remembers trouble
	})
	for _, name := range names {
		g.hosts[net.JoinHostPort(strings.Trim(name, "[]"), served)] = true
	}
	g.issue()
	s := &shop{gate: g, rec: r}
	if err := s.serve(ctx, l); err != nil {
		return fmt.Errorf("the page ended: %w", err)
	}
	say(document.Space{}, document.Sentence{Text: fmt.Sprintf("Ended, with %s kept in %s.", count(len(r.state.Rows()), "reading"), r.file.name())})
	return nil
}

// hosts lists the names by which the page may be called: those of this computer
// to itself, and with lan those that others know.
func hosts(lan bool) ([]string, error) {
	names := []string{"127.0.0.1", "localhost", "::1"}
	if !lan {
		return names, nil
	}
	addresses, err := net.InterfaceAddrs()
	if err != nil {
		return nil, err
	}
	for _, a := range addresses {
		if ip, ok := a.(*net.IPNet); ok && !ip.IP.IsLoopback() && !ip.IP.IsLinkLocalUnicast() {
			names = append(names, ip.IP.String())
		}
	}
	return names, nil
}
