package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
)

// tables are the parts of the file of results that are measured: the problems of
// each, and when to note cost and bound too. only takes files of the folder,
// families what the program makes.
var tables = []struct {
	mark, only, families string
	at                   []float64
}{
	{mark: "small", only: "tiny,small"},
	{mark: "real", only: "real,konza", at: []float64{10}},
	{mark: "medium", only: "medium,paper,large", at: []float64{1, 10}},
	{mark: "pinwheel", families: "pinwheel"},
	{mark: "growth", families: "growth", at: []float64{10}},
	{mark: "paper-size", families: "paper-size", at: []float64{10}},
	{mark: "grid", families: "grid", at: []float64{10}},
}

// markLine and endLine enclose a table in the file.
func markLine(mark string) string { return "<!-- bench: " + mark + " -->" }

const endLine = "<!-- bench: end -->"

// measureTables measures all tables and puts them into the file of results, each as
// soon as it is there: a run that is broken off leaves whole tables.
func measureTables(ctx context.Context, o *options, out io.Writer) error {
	data, err := os.ReadFile(o.results)
	if err != nil {
		return err
	}
	for _, t := range tables {
		if _, err := replaceTable(data, t.mark, nil); err != nil {
			return fmt.Errorf("%s: %w", o.results, err)
		}
	}
	for _, t := range tables {
		part := *o
		part.at, part.families, part.only, part.plot = t.at, t.families, t.only, ""
		if t.families != "" {
			part.folder, part.konza = "", ""
		}
		if t.mark == "growth" {
			part.plot = filepath.Join(filepath.Dir(o.results), "growth.svg")
		}
		problems, err := gather(ctx, &part)
		if err != nil {
			return err
		}
		var table bytes.Buffer
		if err := measureAll(ctx, problems, &part, io.MultiWriter(out, &table)); err != nil {
			return err
		}
		if data, err = replaceTable(data, t.mark, table.Bytes()); err != nil {
			return err
		}
		if err := os.WriteFile(o.results, data, 0o666); err != nil {
			return err
		}
	}
	return nil
}

// replaceTable puts a table between its marks.
func replaceTable(data []byte, mark string, table []byte) ([]byte, error) {
	before, rest, ok := bytes.Cut(data, []byte(markLine(mark)+"\n"))
	if !ok {
		return nil, fmt.Errorf("there is no line %q; accepts a file with the marks of all tables", markLine(mark))
	}
	_, after, ok := bytes.Cut(rest, []byte(endLine+"\n"))
	if !ok {
		return nil, fmt.Errorf("no line %q follows %q", endLine, markLine(mark))
	}
	text := markLine(mark) + "\n" + strings.TrimSpace(string(table)) + "\n" + endLine + "\n"
	return bytes.Join([][]byte{before, []byte(text), after}, nil), nil
}
