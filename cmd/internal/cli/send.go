package cli

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/quantity"
	"emberquilt/report/pdf"
	"emberquilt/report/view"
	"emberquilt/store"
)

func (a *terminal) sendCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "send FILE",
		Short: "Write one archive that hands the property over, by mail or on a stick",
		Long: withStatus(`Send writes a ZIP archive with the property file, the files that belong to its records
and contracts, and the packet of each contract. "emberquilt receive" takes from it, on
another machine, what was changed here. It holds all that the property file holds: names
and phone numbers of contacts, clients, crews. Hand it to nobody who is not to have them.`, statusBadInput),
		Example: "  emberquilt send to-the-agent.zip",
		GroupID: groupProperty,
		Args:    exactArgs("FILE"),
		RunE:    func(cmd *cobra.Command, args []string) error { return a.runSend(cmd.Context(), args[0]) },
	}
}

func (a *terminal) runSend(ctx context.Context, to string) error {
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		papers, err := sentPapers(ctx, s)
		if err != nil {
			return err
		}
		var sent *app.Sent
		err = a.writePaper(output{to, func(w io.Writer) (err error) {
			sent, err = s.Send(ctx, w, papers)
			return err
		}}, fmt.Sprintf("%s at %s, with its files and %s", s.Property.Name, view.ChangeWords(string(s.Change.Stamp())), quantity.Count(len(papers), "packet")))
		if err != nil {
			return err
		}
		for _, file := range sent.Missing {
			fmt.Fprintf(a.Err, "%s is gone or altered and was left behind\n", file)
		}
		return nil
	})
}

// sentPapers are the packets that go along in an archive.
func sentPapers(ctx context.Context, s *app.Session) (papers []app.SentPaper, err error) {
	err = s.Packets(ctx, func(p *view.Packet) error {
		name := fmt.Sprintf("%s-%d.pdf", fileWord(p.Stamp.Property+" "+p.Contract), len(papers)+1)
		papers = append(papers, app.SentPaper{Name: name, Write: func(w io.Writer) error { return pdf.Packet(w, p) }})
		return nil
	})
	return papers, err
}

// receiveOptions are those of the receive command.
type receiveOptions struct {
	file, take   string
	ours, theirs []string
}

func (a *terminal) receiveCommand() *cobra.Command {
	var o receiveOptions
	cmd := &cobra.Command{
		Use:   "receive FILE",
		Short: "Take what another copy of the property changed, from an archive",
		Long: withStatus(`Receive takes from an archive that "emberquilt send" wrote what was changed there since the
newest change that both have: units, outlines, locks, burns, tasks, plans, settings, value
by value, and contracts line by line. What only one side changed holds; nothing of either
is lost, and every version stays readable. Where both changed one value to two things,
receive changes nothing and lists them: --take says which side holds for all of them,
--ours and --theirs for one, named as the list does ('contract Grass, line 1', or
'contract Grass' for all of its lines).

Burns and plans that both sides added get numbers that may differ between the two. Files
that are here already are never written over: one that comes under the name of another
gets the beginning of its checksum into its name. One that is not what its record says is
not taken. Nothing is asked of the network.`, statusBadInput),
		Example: "  emberquilt receive from-the-field.zip\n  emberquilt receive from-the-field.zip --theirs 'unit Creek Patch' --take ours",
		GroupID: groupProperty,
		Args:    exactArgs("FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.file = args[0]
			return a.runReceive(cmd.Context(), o)
		},
	}
	cmd.Flags().StringVar(&o.take, "take", "", "`SIDE` that holds where both changed a value: ours or theirs")
	cmd.Flags().StringArrayVar(&o.ours, "ours", nil, "a `VALUE` of which this file's version holds, such as 'unit Creek Patch'")
	cmd.Flags().StringArrayVar(&o.theirs, "theirs", nil, "a `VALUE` of which the archive's version holds")
	return cmd
}

func (a *terminal) runReceive(ctx context.Context, o receiveOptions) error {
	side, known := map[string]store.Side{"": store.Undecided, "ours": store.Ours, "theirs": store.Theirs}[o.take]
	if !known {
		return usagef("--take: %w", notAccepted(o.take, "is not a side", "ours or theirs"))
	}
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		got, err := s.Receive(ctx, o.file, app.ReceiveOptions{All: side, Ours: o.ours, Theirs: o.theirs})
		var asked *store.ContradictionError
		if errors.As(err, &asked) {
			for _, c := range asked.All {
				fmt.Fprintln(a.Err, "-", app.ContradictionWords(&c))
			}
			return fmt.Errorf("%s; nothing was changed; accepts --take ours, --take theirs, or --ours and --theirs for each", asked)
		}
		if err != nil {
			return err
		}
		if a.json {
			return a.printJSON(
				map[string]any{
					"changes":      got.Changes,
					"follows":      got.Follows,
					"decided":      len(got.Contradictions),
					"files":        append([]string{}, got.Written...),
					"notes":        got.Notes(),
					"data_version": s.Change.Stamp(),
				},
			)
		}
		fmt.Fprintln(a.Out, got.Words(s.Change.Stamp()))
		for _, words := range got.Items() {
			fmt.Fprintln(a.Out, "-", words)
		}
		for _, words := range got.Notes() {
			fmt.Fprintln(a.Err, words)
		}
		return nil
	})
}
