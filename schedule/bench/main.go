package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"

	"emberquilt/schedule/bench/family"
	"emberquilt/schedule/problem"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

// options are the flags.
type options struct {
	folder, families, only, known, write, plot, results string
	konza, program                                      string
	others                                              []string
	seconds                                             float64
	at                                                  []float64
	threads                                             int
	seed                                                uint64
	// hasBest and hasLin say that a best cost, a linear bound is known of any
	// problem.
	hasBest, hasLin bool
}

func run(ctx context.Context, args []string, out io.Writer) error {
	var o options
	var at, other string
	flags := flag.NewFlagSet("bench", flag.ContinueOnError)
	flags.StringVar(&o.folder, "folder", "", "folder of problem files")
	flags.StringVar(&o.families, "families", "", "families to make: "+strings.Join(family.Names, ", "))
	flags.StringVar(&o.konza, "konza", "", "folder of the polygons and burns of Konza Prairie, from which the program makes problems of 8, 10 and 15 years")
	flags.StringVar(&o.program, "program", "emberquilt", "the program that makes them")
	flags.StringVar(&o.only, "only", "", "take only problems whose name contains one of these, separated by commas")
	flags.StringVar(&o.known, "known", "", "file of costs and linear bounds that other solvers found, such as known.tsv of this program")
	flags.StringVar(&o.write, "write", "", "write the problems into this folder, as json, lp and mps, and solve nothing")
	flags.StringVar(&o.results, "results", "", "measure every family anew and put the tables between the marks of this file")
	flags.StringVar(&o.plot, "plot", "", "write gap and memory against the number of units into this SVG file")
	flags.StringVar(&other, "other", "", "other solvers to run on the same problems for the same time: cbc, highs (npm, found by EMBERQUILT_NODE)")
	flags.Float64Var(&o.seconds, "seconds", 60, "time limit for each problem")
	flags.StringVar(&at, "at", "", "seconds after which to note cost and bound too, separated by commas")
	flags.IntVar(&o.threads, "threads", 2, "processors to use")
	flags.Uint64Var(&o.seed, "seed", 1, "seed of the search")
	if err := flags.Parse(args); err != nil {
		return err
	}
	for _, word := range strings.FieldsFunc(at, func(r rune) bool { return r == ',' }) {
		s, err := strconv.ParseFloat(word, 64)
		if err != nil || s <= 0 {
			return fmt.Errorf("-at: %q is not a number of seconds", word)
		}
		o.at = append(o.at, s)
	}
	o.others = strings.FieldsFunc(other, func(r rune) bool { return r == ',' })
	for _, name := range o.others {
		if others[name] == nil {
			return fmt.Errorf("-other: %q is unknown; accepts cbc, highs", name)
		}
	}
	if o.results != "" {
		return measureTables(ctx, &o, out)
	}
	problems, err := gather(ctx, &o)
	if err != nil {
		return err
	}
	if o.write != "" {
		return writeAll(o.write, problems)
	}
	return measureAll(ctx, problems, &o, out)
}

// measureAll measures problems and prints their tables.
func measureAll(ctx context.Context, problems []entry, o *options, out io.Writer) error {
	beside := ""
	if len(o.others) > 0 {
		beside = "; other solvers on one processor"
	}
	fmt.Fprintf(out, "Wall time on %d processors of %s/%s, %s; %g s each (twice that from 10,000 units on), seed %d%s. Written %s.\n\n",
		o.threads, runtime.GOOS, runtime.GOARCH, runtime.Version(), o.seconds, o.seed, beside, time.Now().UTC().Format("2006-01-02"))
	printHead(out, o)
	var all []outcome
	for k := range problems {
		r, err := measure(ctx, &problems[k], o)
		if err != nil {
			return fmt.Errorf("%s: %w", problems[k].name, err)
		}
		printRow(out, o, r)
		all = append(all, *r)
		if ctx.Err() != nil {
			break
		}
	}
	printFamilies(out, all)
	printNotes(out, all)
	if o.plot != "" {
		if err := os.WriteFile(o.plot, plot(all, o.seconds), 0o666); err != nil {
			return err
		}
	}
	return ctx.Err()
}

// entry is one problem to solve and what is known of it; 0 is not known.
type entry struct {
	family, name string
	// read gives the problem. Large ones are made when their turn comes.
	read func() (*problem.Problem, error)
	known
}

func gather(ctx context.Context, o *options) ([]entry, error) {
	var all []entry
	if o.folder != "" {
		files, err := filepath.Glob(filepath.Join(o.folder, "*.json"))
		if err != nil {
			return nil, err
		}
		results, err := readKnown(filepath.Join(filepath.Dir(filepath.Clean(o.folder)), "results.tsv"))
		if err != nil && !errors.Is(err, os.ErrNotExist) {
			return nil, err
		}
		for _, file := range files {
			name := strings.TrimSuffix(filepath.Base(file), ".json")
			e := entry{name: name, read: func() (*problem.Problem, error) { return readFile(file) }}
			e.family, _, _ = strings.Cut(name, "-")
			e.known = results[name]
			e.note = "" // what the reference data say needs none
			all = append(all, e)
		}
	}
	for _, name := range strings.FieldsFunc(o.families, func(r rune) bool { return r == ',' }) {
		instances := family.Make(name)
		if len(instances) == 0 {
			return nil, fmt.Errorf("-families: %q is unknown; accepts %s", name, strings.Join(family.Names, ", "))
		}
		for _, i := range instances {
			all = append(all, entry{family: i.Family, name: i.Name, read: func() (*problem.Problem, error) { return i.Problem, nil }})
		}
	}
	if o.konza != "" {
		all = append(all, konza(ctx, o.program, o.konza)...)
	}
	if o.only != "" {
		words := strings.Split(o.only, ",")
		all = slices.DeleteFunc(all, func(e entry) bool {
			return !slices.ContainsFunc(words, func(w string) bool { return strings.Contains(e.name, w) })
		})
	}
	if o.known != "" {
		more, err := readKnown(o.known)
		if err != nil {
			return nil, err
		}
		for k := range all {
			all[k].merge(more[all[k].name])
		}
	}
	for _, e := range all {
		o.hasBest, o.hasLin = o.hasBest || e.hasBest, o.hasLin || e.hasLin
	}
	if len(all) == 0 {
		return nil, errors.New("there is nothing to solve; give -folder, -families or -konza")
	}
	// Small families first, as a table reads best.
	order := []string{"tiny", "pinwheel", "small", "real", "medium", "grid", "paper", "paper-size", "growth", "large"}
	slices.SortStableFunc(all, func(a, b entry) int { return slices.Index(order, a.family) - slices.Index(order, b.family) })
	return all, nil
}

func readFile(file string) (*problem.Problem, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return problem.Read(f, file)
}

// known is what is known of a problem.
type known struct {
	best, linear    float64
	hasBest, hasLin bool
	// note is the whole line in words.
	note string
}

// merge fills from other what is not known.
func (k *known) merge(other known) {
	if !k.hasBest {
		k.best, k.hasBest = other.best, other.hasBest
	}
	if !k.hasLin {
		k.linear, k.hasLin = other.linear, other.hasLin
	}
	k.note = other.note
}

// readKnown reads what is known of problems, by name. Columns are name, best
// cost, best bound, how they were found, linear bound and seconds, with - for
// what is not known. Lines that begin with # and the first other one say what
// stands in the file.
func readKnown(file string) (map[string]known, error) {
	data, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	all := map[string]known{}
	headed := false
	for n, line := range strings.Split(strings.TrimSpace(string(data)), "\n") {
		if strings.HasPrefix(line, "#") {
			continue
		}
		if !headed {
			headed = true
			continue
		}
		cells := strings.Split(strings.TrimSuffix(line, "\r"), "\t")
		if len(cells) != 6 {
			return nil, fmt.Errorf("%s:%d: %d columns; accepts 6", file, n+1, len(cells))
		}
		if _, twice := all[cells[0]]; twice {
			return nil, fmt.Errorf("%s:%d:name: %q stands twice; accepts each problem once", file, n+1, cells[0])
		}
		k := known{note: fmt.Sprintf("cost %s, bound %s, linear bound %s after %s s: %s", cells[1], cells[2], cells[4], cells[5], cells[3])}
		k.best, k.hasBest = parse(cells[1])
		k.linear, k.hasLin = parse(cells[4])
		all[cells[0]] = k
	}
	return all, nil
}

func parse(cell string) (float64, bool) {
	x, err := strconv.ParseFloat(cell, 64)
	return x, err == nil
}

// writeAll writes problems as files.
func writeAll(folder string, all []entry) error {
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return err
	}
	for _, e := range all {
		p, err := e.read()
		if err != nil {
			return err
		}
		name := strings.NewReplacer(" ", "-", ",", "", "%", "percent").Replace(e.name)
		if !strings.HasPrefix(name, e.family) {
			name = e.family + "-" + name
		}
		for suffix, write := range map[string]func(io.Writer, *problem.Problem) error{
			".json": problem.Write, ".lp": problem.WriteLP, ".mps": problem.WriteMPS,
		} {
			if err := writeFile(filepath.Join(folder, name+suffix), p, write); err != nil {
				return err
			}
		}
	}
	return nil
}

func writeFile(file string, p *problem.Problem, write func(io.Writer, *problem.Problem) error) error {
	f, err := os.Create(file)
	if err != nil {
		return err
	}
	if err := write(f, p); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}
