package cli

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation"
	"emberquilt/schedule/whatif"
)

func (a *app) alternativesCommand() *cobra.Command {
	var flags solverFlags
	var settings whatif.AlternativeSettings
	var keep bool
	cmd := &cobra.Command{
		Use:   "alternatives",
		Short: "Find other plans that are nearly as good",
		Long: withStatus(`Alternatives looks for plans that cost at most a stated share more than the newest one and
differ in which units burn in the first years. Each comes from a second solve with one
choice reversed. With --keep they are kept as plans with numbers of their own.

`+caution, statusBadInput),
		GroupID: groupPlan,
		Args:    exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			solver, err := flags.settings(cmd)
			if err != nil {
				return err
			}
			if !(settings.Within > 0 && settings.Within <= 10) {
				return flagError("within", "a share above 0, such as 0.05", "%v is none", settings.Within)
			}
			if settings.Count < 1 || settings.Count > 20 || settings.Years < 1 {
				return flagError("count", "1 to 20 plans, in 1 year or more", "%d plans in %d years", settings.Count, settings.Years)
			}
			return a.sit(cmd.Context(), a.change, func(d *desk) error { return a.findAlternatives(cmd, d, solver, settings, keep) })
		},
	}
	flags.register(cmd, 0)
	cmd.Flags().Float64Var(&settings.Within, "within", 0.05, "by what `SHARE` of the plan's shortfall another may cost more")
	cmd.Flags().IntVar(&settings.Count, "count", 5, "`NUMBER` of plans to look for")
	cmd.Flags().IntVar(&settings.Years, "first-years", 2, "in how many first `YEARS` they must differ")
	cmd.Flags().BoolVar(&keep, "keep", false, "keep what is found as plans")
	return cmd
}

// alternativeDocument is one other plan in JSON.
type alternativeDocument struct {
	Plan    int      `json:"plan,omitempty"`
	Cost    float64  `json:"cost"`
	Extra   float64  `json:"extra_acre_years"`
	Differs []string `json:"differs"`
}

func (a *app) findAlternatives(cmd *cobra.Command, d *desk, solver rotation.Settings, settings whatif.AlternativeSettings, keep bool) error {
	ctx := cmd.Context()
	kept, err := d.plan(ctx, 0)
	if err != nil {
		return err
	}
	settings.Seed = solver.Seed
	shown := a.startProgress("looking for other plans")
	found, err := whatif.Alternatives(ctx, again(solver), kept.problem, kept.answer, settings)
	shown.stop()
	if err != nil {
		return err
	}
	documents := []alternativeDocument{}
	for _, other := range found {
		doc := alternativeDocument{Cost: other.Answer.Cost, Extra: other.Extra.AtHand, Differs: []string{}}
		for _, choice := range other.Differs {
			doc.Differs = append(doc.Differs, choiceWords(kept.problem, choice))
		}
		if keep {
			plan, err := a.keepAlternative(cmd, d, kept, other.Answer)
			if err != nil {
				return err
			}
			doc.Plan = plan
		}
		documents = append(documents, doc)
	}
	return a.printAlternatives(kept, documents, settings)
}

func (a *app) printAlternatives(kept *storedPlan, documents []alternativeDocument, settings whatif.AlternativeSettings) error {
	if a.json {
		return a.printJSON(documents)
	}
	if len(documents) == 0 {
		return a.say("no other plan was found within %g %% of the cost of plan %d", 100*settings.Within, kept.Number)
	}
	for i, doc := range documents {
		name := fmt.Sprintf("Alternative %d", i+1)
		if doc.Plan > 0 {
			name = fmt.Sprintf("Plan %d", doc.Plan)
		}
		fmt.Fprintf(a.Out, "%s costs %s acre-years, %s more than plan %d, and differs in the first years:\n", name, figure(doc.Cost), figure(doc.Extra), kept.Number)
		for _, words := range doc.Differs {
			fmt.Fprintln(a.Out, "-", words)
		}
		fmt.Fprintln(a.Out)
	}
	_, err := fmt.Fprintln(a.Out, caution)
	return err
}

func (a *app) keepAlternative(cmd *cobra.Command, d *desk, kept *storedPlan, answer *problem.Answer) (int, error) {
	result := &rotation.Result{Answer: answer}
	plan, err := a.storePlan(cmd.Context(), d, kept.problem, kept.Assumptions, result, nil, fmt.Sprintf("alternative to plan %d", kept.Number))
	if err != nil {
		return 0, err
	}
	return plan.Number, nil
}

func choiceWords(p *problem.Problem, c whatif.Choice) string {
	if c.Burn {
		return fmt.Sprintf("%d: %s burns in %s", c.Year, p.Units[c.Unit].ID, p.Seasons[c.Season])
	}
	return fmt.Sprintf("%d: %s rests", c.Year, p.Units[c.Unit].ID)
}

func (a *app) fixCommand() *cobra.Command {
	var flags solverFlags
	var options planOptions
	cmd := &cobra.Command{
		Use:   "fix [UNIT]",
		Short: "Find the single change that fixes an overdue unit, or locks that clash",
		Long: withStatus(`Fix looks for single changes after which the best plan leaves the unit overdue in no plan
year: a lock dropped, a burn day, a burn, acres or money more in one year, an interval a
year longer. Without a unit it looks for changes after which locked burns that clash have
a plan. Every change that it names was solved, none is guessed. It changes nothing.`, statusBadInput),
		GroupID: groupPlan,
		Args:    argsBetween(0, "UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			solver, err := flags.settings(cmd)
			if err != nil {
				return err
			}
			return a.sit(cmd.Context(), a.read, func(d *desk) error { return a.findFixes(cmd, d, args, options, solver) })
		},
	}
	flags.register(cmd, 0)
	options.register(cmd)
	return cmd
}

// wantedFixes is how many single changes are looked for.
const wantedFixes = 3

func (a *app) findFixes(cmd *cobra.Command, d *desk, args []string, options planOptions, solver rotation.Settings) error {
	ctx := cmd.Context()
	made, err := d.assemble(ctx, options)
	if err != nil {
		return err
	}
	p := made.Problem
	result, err := a.solve(ctx, p, solver)
	clashes := errors.Is(err, problem.ErrInfeasible)
	if err != nil && !clashes {
		return err
	}
	shown := a.startProgress("looking for single changes")
	defer shown.stop()
	var fixes []whatif.Fix
	what := "the clash of the locked burns"
	switch {
	case clashes:
		fixes, err = whatif.FixClashes(ctx, again(solver), p, result.Answer, wantedFixes)
	case len(args) == 0:
		shown.stop()
		return a.say("the locked burns can stand together; name a unit to find what keeps it from being overdue")
	default:
		unit, findErr := findUnit(d.Snapshot, args[0])
		if findErr != nil {
			return findErr
		}
		what = unit.ID + " being overdue"
		for i := range p.Units {
			if p.Units[i].ID == unit.ID {
				if len(whatif.OverdueYears(p, result.Answer, i)) == 0 {
					shown.stop()
					return a.say("%s is overdue in no plan year", unit.ID)
				}
				fixes, err = whatif.FixOverdue(ctx, again(solver), p, result.Answer, i, wantedFixes)
			}
		}
	}
	shown.stop()
	if err != nil {
		return err
	}
	return a.printFixes(p, what, fixes)
}

func (a *app) printFixes(p *problem.Problem, what string, fixes []whatif.Fix) error {
	words := []string{}
	for _, fix := range fixes {
		words = append(words, changeWords(p, fix.Change))
	}
	if a.json {
		return a.printJSON(map[string]any{"fixes": what, "changes": words})
	}
	if len(words) == 0 {
		return a.say("no single change was found that fixes %s", what)
	}
	fmt.Fprintf(a.Out, "Each of these single changes fixes %s:\n", what)
	for _, text := range words {
		fmt.Fprintln(a.Out, "-", text)
	}
	return nil
}

func changeWords(p *problem.Problem, c whatif.Change) string {
	switch c.Kind {
	case whatif.DropLock:
		doing := "rest"
		if c.Lock.Burn {
			doing = "burn"
		}
		return fmt.Sprintf("lift the lock: %s of %s in %d", doing, p.Units[c.Lock.Unit].ID, c.Lock.Year)
	case whatif.MoreBurnDays:
		return fmt.Sprintf("%s burn days more in %s %d", figure(c.Step), p.Seasons[c.Season], c.Year)
	case whatif.OneMoreBurn:
		return fmt.Sprintf("%s burns more in %d", figure(c.Step), c.Year)
	case whatif.MoreAcres:
		return fmt.Sprintf("%s acres more in %d", figure(c.Step), c.Year)
	case whatif.MoreMoney:
		return fmt.Sprintf("$%s more in %d", figure(c.Step), c.Year)
	case whatif.StretchInterval:
		return fmt.Sprintf("a longest interval of %d years for %s", p.Units[c.Unit].MaxInterval+1, p.Units[c.Unit].ID)
	}
	return string(c.Kind)
}
