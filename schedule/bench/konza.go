package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"emberquilt/schedule/problem"
)

// konzaYears are the years of plan of the Konza problems.
var konzaYears = []int{8, 10, 15}

// konzaSettings are those of the property; intervals, caps and bands are invented, as
// the place burns for experiments.
const konzaSettings = `name = "Konza"
program_year_starts = "january"
years = %d
lookahead = 4
[[season]]
name = "any"
first = "01-01"
last = "12-31"
[caps]
acres = 1900
[evenness]
min_acres = 1500
max_acres = 1850
`

// konza gives the problems of Konza Prairie that the program makes: its polygons and
// their recorded burns imported as a user imports them, then planned for so many years.
// Data in folder: KFH01 version 22, Blair and O'Neal 2024,
// doi:10.6073/pasta/0db54f512bba21337d0de4b4ec0951e9, and the layer GIS032 of the Konza
// Prairie LTER, supported by the NSF Long Term Ecological Research Program at Konza
// Prairie.
func konza(ctx context.Context, program, folder string) []entry {
	var all []entry
	for _, years := range konzaYears {
		all = append(all, entry{family: "real", name: fmt.Sprintf("konza-%d", years), read: func() (*problem.Problem, error) {
			return konzaProblem(ctx, program, folder, years)
		}})
	}
	return all
}

func konzaProblem(ctx context.Context, program, folder string, years int) (*problem.Problem, error) {
	work, err := os.MkdirTemp("", "bench")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(work)
	property, settings := filepath.Join(work, "konza.emberquilt"), filepath.Join(work, "konza.toml")
	if err := os.WriteFile(settings, fmt.Appendf(nil, konzaSettings, years), 0o666); err != nil {
		return nil, err
	}
	var out []byte
	for _, args := range [][]string{
		{"new", filepath.Join(work, "konza"), "--settings", settings},
		{"import", filepath.Join(folder, "derived_GIS032_wgs84.geojson"), "--columns", "unit=NAME_1",
			"--set", "min_interval=1", "--set", "max_interval=4", "--merge", "--leave-out", "--property", property},
		{"import", filepath.Join(folder, "kfh011_burn_history.csv"), "--columns", "unit=Watershed,date=Date,kind=Type,acres=",
			"--values", "kind:PP=prescribed,PU=prescribed,WP=wildfire,WU=wildfire", "--merge", "--leave-out", "--doubles", "add", "--property", property},
		{"problem", "--property", property},
	} {
		var errs bytes.Buffer
		c := exec.CommandContext(ctx, program, append([]string{"--today", "2024-01-01"}, args...)...)
		c.Stderr = &errs
		if out, err = c.Output(); err != nil {
			return nil, fmt.Errorf("%s %s: %w: %s", program, args[0], err, strings.TrimSpace(errs.String()))
		}
	}
	return problem.Read(bytes.NewReader(out), "konza")
}
