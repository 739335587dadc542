package cli

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"slices"
	"sync"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/table"
	"emberquilt/report/view"
)

// clientsOptions are those of the clients command.
type clientsOptions struct {
	show showFlags
	// named are property files and folders with some; none is this folder.
	named []string
	days  int
	// out is the workbook to write; empty prints the table.
	out string
}

func (a *terminal) clientsCommand() *cobra.Command {
	var o clientsOptions
	cmd := &cobra.Command{
		Use:   "clients [FILE or FOLDER…]",
		Short: "Show the contract lines of all clients, with the next burn and its permit",
		Long: withStatus(`Clients goes through the property files and folders that are named, else this folder, and
all below, and lists each line of each contract: what is planned, done and behind, when
the plan burns the unit next and in which window, and the permit that must be had for it
within --days. With --output it writes the supervisor's workbook: the lines, the permits
to be had, the sums of each contract and what became of each property. A property that fails holds up no
other: it stands in the table with its reason, and the status is 1 then.

The workbook names clients, contracts and units, and holds no phone number.

`+caution, statusBadInput),
		Example: "  emberquilt clients clients\n  emberquilt clients clients --output supervisor.xlsx",
		GroupID: groupPaper,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.named = args
			return a.runClients(cmd.Context(), o)
		},
	}
	o.show.register(cmd)
	cmd.Flags().IntVar(&o.days, "days", 90, "permits to be had within so many `DAYS`")
	cmd.Flags().StringVarP(&o.out, "output", "o", "", "write a workbook `FILE` (XLSX), - for standard output")
	return cmd
}

// clientMore is what the workbook says of a client beside its lines.
type clientMore struct {
	permits *table.Sheet
	state   []any
	sums    [][]any
}

func (a *terminal) runClients(ctx context.Context, o clientsOptions) error {
	if err := o.show.validate(a); err != nil {
		return err
	}
	if err := checkEnding(o.out, ".xlsx"); err != nil {
		return err
	}
	if err := app.CheckDays("days", o.days); err != nil {
		return namedAs(err, sameFlag)
	}
	permits := table.NewAllProperties("permits")
	states := &table.Sheet{Name: "properties", Header: []string{"property", "state", "lines", "behind", "permits", "property_file"}}
	sums := table.PacketSummary(nil)
	var mu sync.Mutex
	more := map[string]*clientMore{}
	results, lines, failed, err := a.gatherAll(ctx, o.named, ofAll{name: "lines", doing: "going through the clients", one: func(s *app.Session) (any, *table.Sheet, error) {
		client, err := s.Client(ctx, o.days)
		if err != nil {
			return nil, nil, err
		}
		of := &clientMore{permits: table.ClientPermits(client)}
		of.state = []any{s.Property.Name, client.State(), len(client.Lines), client.LinesBehind(), len(client.Permits), s.Store.Path()}
		if o.out != "" {
			err = s.Packets(ctx, func(p *view.Packet) error {
				of.sums = append(of.sums, table.PacketSummary([]*view.Packet{p}).Rows...)
				return nil
			})
		}
		mu.Lock()
		defer mu.Unlock()
		more[s.Store.Path()] = of
		return client, table.ClientLines(client), err
	}})
	if err != nil {
		return err
	}
	for _, r := range results {
		if r.Failed != "" {
			states.Rows = append(states.Rows, []any{r.Property, "FAILED: " + r.Failed, nil, nil, nil, r.File})
			continue
		}
		of := more[r.File]
		permits.Add(r.Property, r.File, of.permits)
		if r.CopyOf != "" {
			of.state[1] = fmt.Sprintf("%s; %s", of.state[1], view.CopyShort(r.CopyOf))
		}
		states.Rows, sums.Rows = append(states.Rows, of.state), append(sums.Rows, of.sums...)
	}
	slices.SortStableFunc(states.Rows, func(a, b []any) int { return cmp.Compare(a[5].(string), b[5].(string)) })
	if err := a.writeClients(o, results, lines.Sheet(), permits.Sheet(), sums, states); err != nil {
		return err
	}
	a.sayCopies(results)
	return failedOf(failed, len(results))
}

// writeClients prints the lines, or writes the workbook.
func (a *terminal) writeClients(o clientsOptions, results []propertyResult, lines *table.Sheet, others ...*table.Sheet) error {
	switch {
	case o.out != "":
		from, err := a.environment()
		if err != nil {
			return err
		}
		stamp := app.AllStamp(from, len(results))
		return a.writePaper(output{o.out, func(w io.Writer) error {
			return table.WriteXLSX(w, stamp, append([]*table.Sheet{lines}, others...)...)
		}}, "the supervisor's workbook: contract lines, permits, sums and properties")
	case a.json:
		return a.printJSON(results)
	}
	if err := a.printSheet(lines, &o.show); err != nil || o.show.csv {
		return err
	}
	return a.say("\n%s", caution)
}
