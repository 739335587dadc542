package cli

import (
	"context"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation"
)

func (a *app) missedCommand() *cobra.Command {
	var flags solverFlags
	var options planOptions
	cmd := &cobra.Command{
		Use:   "missed [UNIT]",
		Short: "Say which planned burns were missed, and what that costs later",
		Long: withStatus(`Missed lists the burns that the plans in force had for past program years, and that no
record makes good: the unit has not burned enough since. For the last one of each unit it
makes two plans of the coming years, one as things stand and one as if that burn had
been done, and gives the difference. It changes nothing and keeps no plan. What a burn
that is still ahead would cost if it were missed is answered by "emberquilt why".

`+caution, statusBadInput, statusNoPlan),
		Example: "  emberquilt missed\n  emberquilt missed \"Creek Patch\" --seconds 20",
		GroupID: groupPlan,
		Args:    argsBetween(0, "UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			settings, err := flags.settings(cmd)
			if err != nil {
				return err
			}
			return a.sit(cmd.Context(), a.read, func(d *desk) error {
				only := ""
				if len(args) > 0 {
					unit, err := findUnit(d.Snapshot, args[0])
					if err != nil {
						return err
					}
					only = unit.ID
				}
				return a.costMissed(cmd.Context(), d, only, options, settings)
			})
		},
	}
	flags.register(cmd, 0)
	options.register(cmd)
	return cmd
}

// missedBurn is a burn that was planned, is past and was not made good.
type missedBurn struct {
	Unit   string           `json:"unit"`
	Year   date.ProgramYear `json:"program_year"`
	Season string           `json:"season"`
	// From is the first year of both plans. Cost is that of the plan as things
	// stand, Had that of the plan had it burned, both in acre-years.
	From   date.ProgramYear `json:"plan_from"`
	Cost   float64          `json:"cost_acre_years"`
	Had    float64          `json:"cost_had_it_burned_acre_years"`
	Proven bool             `json:"both_proven_best"`
}

// missed finds the last burn of each unit that a plan in force had for a year
// that is over, and after which the unit did not burn enough to reset its age.
func (d *desk) missed(ctx context.Context) ([]missedBurn, error) {
	var plans []*storedPlan
	for _, head := range d.Plans {
		kept, err := d.plan(ctx, head.Number)
		if err != nil {
			return nil, err
		}
		plans = append(plans, kept)
	}
	now := d.Property.YearStart.Of(d.today)
	last := map[string]habitat.PlannedBurn{}
	for _, burn := range inForce(plans, &d.Property, d.today) {
		if burn.Year < now && burn.Year >= last[burn.Unit].Year {
			last[burn.Unit] = burn
		}
	}
	var all []missedBurn
	for i := range d.Units {
		burn, planned := last[d.Units[i].ID]
		if !planned {
			continue
		}
		if reset, ok := d.Property.LastReset(&d.Units[i], d.Records, now, d.today); !ok || reset.Year < burn.Year {
			all = append(all, missedBurn{Unit: burn.Unit, Year: burn.Year, Season: burn.Season})
		}
	}
	return all, nil
}

// had gives the desk as it would be, had a missed burn been done on the last day
// of its season.
func (d *desk) had(m missedBurn) *desk {
	on := d.Property.YearStart.Span(m.Year).Last
	if season := d.Property.SeasonIndex(m.Season); season >= 0 {
		on = d.Property.SeasonSpan(season, m.Year).Last
	}
	snapshot := *d.Snapshot
	snapshot.Records = append(slices.Clone(d.Records), habitat.BurnRecord{Unit: m.Unit, On: on, Through: on, Kind: habitat.Prescribed})
	return &desk{Snapshot: &snapshot, store: d.store, today: d.today}
}

func (a *app) costMissed(ctx context.Context, d *desk, only string, options planOptions, settings rotation.Settings) error {
	all, err := d.missed(ctx)
	if err != nil {
		return err
	}
	if only != "" {
		all = slices.DeleteFunc(all, func(m missedBurn) bool { return m.Unit != only })
	}
	if len(all) == 0 {
		if a.json {
			return a.printJSON([]missedBurn{})
		}
		return a.say("no planned burn of a past program year was missed and not made good")
	}
	// The plan before weighs on both alike; the years are the same.
	stands, _, err := a.planOf(ctx, d, options, settings, "making a plan as things stand")
	if err != nil {
		return err
	}
	for i := range all {
		m := &all[i]
		answer, from, err := a.planOf(ctx, d.had(*m), options, settings, "making a plan as if "+m.Unit+" had burned")
		if err != nil {
			return err
		}
		m.From, m.Cost, m.Had = from, rounded(stands.Cost, 3), rounded(answer.Cost, 3)
		m.Proven = stands.Status == problem.Optimal && answer.Status == problem.Optimal
	}
	if a.json {
		return a.printJSON(all)
	}
	for _, m := range all {
		if err := a.say("%s", m.words()); err != nil {
			return err
		}
	}
	return a.say("\n%s", caution)
}

// planOf solves the problem of a desk and keeps nothing.
func (a *app) planOf(ctx context.Context, d *desk, options planOptions, settings rotation.Settings, text string) (*problem.Answer, date.ProgramYear, error) {
	made, err := d.assemble(ctx, options)
	if err != nil {
		return nil, 0, err
	}
	shown := a.startProgress(text)
	defer shown.stop()
	answer, err := again(settings)(ctx, made.Problem)
	switch {
	case err != nil:
		return nil, 0, err
	case ctx.Err() != nil:
		return nil, 0, interrupted{"nothing was compared"}
	case answer.Status == problem.Infeasible:
		return nil, 0, clashError(answer)
	}
	return answer, yearOf(made.Problem), nil
}

func (m *missedBurn) words() string {
	words := fmt.Sprintf("%s: its %s burn of %d was missed", m.Unit, m.Season, m.Year)
	extra := rounded(m.Cost-m.Had, 3)
	switch {
	case extra > 0:
		words += fmt.Sprintf("; had it burned, the plan from %d would cost %s acre-years less (%s against %s)", m.From, figure(extra), figure(m.Had), figure(m.Cost))
	case extra == 0:
		words += fmt.Sprintf("; that costs the plan from %d nothing (%s acre-years either way)", m.From, figure(m.Cost))
	default:
		words += fmt.Sprintf("; had it burned, the plan from %d would cost %s acre-years more (%s against %s)", m.From, figure(-extra), figure(m.Had), figure(m.Cost))
	}
	if m.Proven {
		return words + "; both plans are proven best"
	}
	return words + "; not both plans are proven best, so this is the difference of the best found"
}
