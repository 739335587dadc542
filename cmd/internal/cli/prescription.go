package cli

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/prescription"
	"emberquilt/report/view"
)

func (a *terminal) prescriptionCommand() *cobra.Command {
	var starters bool
	cmd := &cobra.Command{
		Use:   "prescription [FILE…]",
		Short: "Load prescriptions, or show those that are loaded",
		Long: withStatus(`Prescription reads prescription/1 files and keeps them with the property, each under
its name; units name theirs in the column "prescription". With --starters it loads the
ones that ship with the program: starting points, each limit with its source, to be
replaced by those of your own written burn plan. Without a file it shows what is loaded.

A file limits what it names: temp_f, rh_pct, wind_mph with wind_height, wind_from_deg,
gust_mph at the same height, mixing_height_ft, transport_wind_mph, transport_from_deg,
fuel_moisture_pct, days_since_rain, dry_hour, burn_hours, daylight_only, min_hours. Gusts
are in some records, mixing height and transport wind in forecasts and in plain CSV that
has columns for them: days of a record are counted without a limit that it holds nothing
on, and the papers say so.

burn_hours whose second time is earlier run across midnight: ["20:00", "04:00"]. Such a
night belongs to the day on which it begins, with its days since rain and its place in the
season; a night that runs into a closed day is closed too. daylight_only goes by the sun of
each hour's own day.

`+caution, statusBadInput),
		Example: "  emberquilt prescription --starters\n  emberquilt prescription meadow.json",
		GroupID: groupProperty,
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.runPrescription(cmd.Context(), starters, args)
		},
	}
	cmd.Flags().BoolVar(&starters, "starters", false, "load the prescriptions that ship with the program")
	return cmd
}

func (a *terminal) runPrescription(ctx context.Context, starters bool, files []string) error {
	if len(files) == 0 && !starters {
		return a.session(ctx, app.ToRead, a.listPrescriptions)
	}
	return a.loadPrescriptions(ctx, starters, files)
}

func (a *terminal) loadPrescriptions(ctx context.Context, starters bool, files []string) error {
	var all []*prescription.Prescription
	if starters {
		all = prescription.Starters()
	}
	for _, path := range files {
		p, err := a.readKeptPrescription(path)
		if err != nil {
			return err
		}
		all = append(all, p)
	}
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		if err := s.LoadPrescriptions(ctx, all); err != nil {
			return err
		}
		names := make([]string, len(all))
		for i, p := range all {
			names[i] = p.Name
		}
		return a.say("loaded %s", strings.Join(names, "; "))
	})
}

// readKeptPrescription reads one that a property can keep.
func (a *terminal) readKeptPrescription(path string) (*prescription.Prescription, error) {
	file, name, err := a.open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return app.ReadPrescription(name, file)
}

func (a *terminal) listPrescriptions(s *app.Session) error {
	if a.json {
		all := []json.RawMessage{}
		for _, doc := range s.Prescriptions {
			all = append(all, doc.Body)
		}
		return a.printJSON(all)
	}
	all, err := s.LoadedPrescriptions()
	if err != nil {
		return err
	}
	if len(all) == 0 {
		return a.say("no prescription is loaded; emberquilt prescription --starters loads some to begin with")
	}
	for _, p := range all {
		for _, line := range view.PrescriptionLines(p) {
			a.prose("%s", view.Plain(line))
		}
		fmt.Fprintln(a.Out)
	}
	return a.prose("%s", caution)
}
