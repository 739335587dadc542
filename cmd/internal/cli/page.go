package cli

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/cmd/internal/web"
	"emberquilt/report/view"
)

// pageOptions are those of the page command.
type pageOptions struct {
	// path is a property file or a folder; empty for --property, else this folder.
	path      string
	port      int
	noBrowser bool
	// idle is after what time without an open page the program ends; 0 means never.
	idle time.Duration
}

func (a *terminal) pageCommand() *cobra.Command {
	var o pageOptions
	cmd := &cobra.Command{
		Use:   "page [FILE|FOLDER]",
		Short: "Show properties in a browser on this machine",
		Long: withStatus(`Page serves a property file, or every one of a folder (this one where none is named), to
a browser on this machine, prints the address and opens it. The page shows what the
commands show and calls what they call; a folder without a property opens with the
questions of a first run. Commands may go on changing the file meanwhile, and the page
notices. It listens on this machine's own address only, asks nothing of the network, and
lets in who has the whole address: it holds a token that changes with every start.
Ctrl-C ends it. Standard output holds one line: page: and the address.

`+caution, statusBadInput),
		Example: "  emberquilt page\n  emberquilt page oak-hill.emberquilt\n  emberquilt page clients --port 8321 --no-browser",
		GroupID: groupStart,
		Args:    argsBetween(0, "FILE|FOLDER"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.path = firstOf(args)
			return a.runPage(cmd.Context(), &o)
		},
	}
	cmd.Flags().IntVar(&o.port, "port", 0, "listen on this `PORT` (default: any that is free)")
	cmd.Flags().BoolVar(&o.noBrowser, "no-browser", false, "print the address, and open no browser")
	return cmd
}

func (a *terminal) runPage(ctx context.Context, o *pageOptions) error {
	switch {
	case o.port < 0 || o.port > 65535:
		return flagError("port", "1 to 65535, or nothing for any that is free", "%d is not a port", o.port)
	case o.path != "" && a.property != "":
		return usagef("--property and %s cannot be combined; use one", quote(o.path))
	case o.path == "" && a.property != "":
		o.path = a.property
	case o.path == "":
		o.path = "."
	}
	if _, err := a.environment(); err != nil {
		return err
	}
	server, err := web.Listen(
		ctx,
		web.Options{Path: o.path, Port: o.port, Environment: a.pageEnvironment, Papers: pagePapers(), WritePackets: a.pagePackets, SentPapers: sentPapers, KeepName: a.pageName, Wanted: wantedPapers(), Idle: o.idle},
	)
	if err != nil {
		return err
	}
	if a.json {
		err = a.printJSON(map[string]string{"address": server.Address()})
	} else {
		ends := "Ctrl-C ends it."
		if o.idle > 0 {
			ends = fmt.Sprintf("Closing this window ends it; without an open page it ends by itself after %d minutes.\nYour properties are in %s", int(o.idle.Minutes()), o.path)
		}
		// Standard output holds the address alone, in one line, for scripts.
		if _, err = fmt.Fprintf(a.Out, "page: %s\n", server.Address()); err == nil {
			_, err = fmt.Fprintf(a.Err, "The page is for this machine alone. %s\n\n%s\n", ends, caution)
		}
	}
	if err != nil {
		return err
	}
	if !o.noBrowser {
		if err := web.OpenBrowser(server.Address()); err != nil {
			fmt.Fprintf(a.Err, "no browser could be started (%v); open the address above in one\n", cause(err))
		}
	}
	return server.Serve(ctx)
}

// pageEnvironment is that of one request: nobody looks at the terminal's progress.
func (a *terminal) pageEnvironment() (app.Environment, error) {
	from, err := a.environment()
	from.Progress = nil
	return from, err
}

// pageName keeps who makes changes on the page from now on.
func (a *terminal) pageName(name string) error {
	if a.by != "" {
		return &app.OptionError{Option: "name", Found: "the page was started with --by " + quote(a.by), Accepts: "another name from a page that is started without it"}
	}
	return a.keepName(name)
}

// pagePapers are the papers that the page offers.
func pagePapers() []web.Paper {
	var all []web.Paper
	for _, p := range allPapers() {
		one := web.Paper{File: p.File, About: p.About, Write: p.Write}
		switch p.File {
		case packetPaper().File:
			one.Has = (*app.Contents).HasContract
		case draftPaper().File, draftPagePaper().File:
			one.Has = (*app.Contents).HasBurnAhead
		}
		all = append(all, one)
	}
	return all
}

// wantedPapers are those that the page offers for a season, a day, a wind or a unit.
func wantedPapers() web.WritePapers {
	return web.WritePapers{
		Sheet: func(ctx context.Context, w io.Writer, file string, s *app.Session, o app.SheetOptions) error {
			c, sheet, err := s.Sheet(ctx, o)
			if err != nil {
				return err
			}
			return writeSheet(w, file, c, sheet)
		},
		Draft: func(ctx context.Context, w io.Writer, file string, s *app.Session, o app.DraftOptions) error {
			draft, err := s.Draft(ctx, o)
			if err != nil {
				return err
			}
			return writeDraft(w, file, draft)
		},
		Field: func(ctx context.Context, w io.Writer, file string, s *app.Session) error {
			field, err := s.FieldMap(ctx, app.MapOptions{})
			if err != nil {
				return err
			}
			return writeField(w, file, field)
		},
		Units: func(ctx context.Context, w io.Writer, file string, s *app.Session) error {
			write, err := exporter(file)
			if err != nil {
				return err
			}
			layer, _, err := unitLayer(ctx, s)
			if err == nil {
				_, err = write(w, layer)
			}
			return err
		},
		Packet: func(ctx context.Context, w io.Writer, file string, s *app.Session, contract string) error {
			p, err := s.Packet(ctx, contract)
			if err != nil {
				return err
			}
			return packetForms(p, file)[filepath.Ext(file)].Write(w)
		},
	}
}

// pagePackets writes packets as packet --all does, and says nothing.
func (a *terminal) pagePackets(ctx context.Context, files []string, folder string, from app.Environment) (*app.PacketRun, []string, error) {
	into := newPacketFolder(folder)
	run, err := app.PacketsOfAll(ctx, files, from, func(p *view.Packet) ([]string, error) { return into.write(a, p) })
	if err != nil {
		return nil, nil, err
	}
	summary, err := a.writePacketSummary(into, run)
	return run, summary, err
}
