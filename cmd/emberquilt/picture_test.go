package main

import (
	"encoding/json"
	"html"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// shown are the figures in the README's picture, which .ci/picture takes down.
type shown struct {
	Title  string     `json:"title"`
	Glance []string   `json:"glance"`
	Units  [][]string `json:"units"`
	Years  [][]string `json:"years"`
}

var (
	unseen = regexp.MustCompile(`<(span|caption) class="(sr|under)">.*?</(span|caption)>|<caption>.*?</caption>`)
	tag    = regexp.MustCompile(`<[^>]*>`)
)

// textOf gives what a reader sees of a piece of a page.
func textOf(piece string) string {
	return strings.Join(strings.Fields(html.UnescapeString(tag.ReplaceAllString(unseen.ReplaceAllString(piece, ""), ""))), " ")
}

// pieces gives the parts of a page between two marks.
func pieces(page, pattern string) []string {
	var all []string
	for _, found := range regexp.MustCompile(`(?s)`+pattern).FindAllStringSubmatch(page, -1) {
		all = append(all, found[len(found)-1])
	}
	return all
}

// section gives one section of a page.
func section(t *testing.T, page, id string) string {
	t.Helper()
	found := pieces(page, `<section id="`+id+`"[^>]*>(.*?)</section>`)
	if len(found) != 1 {
		t.Fatalf("%d sections %s", len(found), id)
	}
	return found[0]
}

// cells gives the first table of a piece of a page.
func cells(t *testing.T, piece string) [][]string {
	t.Helper()
	tables := pieces(piece, `<table[^>]*>(.*?)</table>`)
	if len(tables) == 0 {
		t.Fatal("no table")
	}
	var rows [][]string
	for _, row := range pieces(tables[0], `<tr>(.*?)</tr>`) {
		var all []string
		for _, cell := range pieces(row, `<t[hd](\s[^>]*)?>(.*?)</t[hd]>`) {
			all = append(all, textOf(cell))
		}
		rows = append(rows, all)
	}
	return rows
}

// TestReadmePictureShowsTheDemo holds the figures in the README's picture against
// those of the demo's program book.
func TestReadmePictureShowsTheDemo(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "pictures", "program-book.json"))
	if err != nil {
		t.Fatal(err)
	}
	var picture shown
	if err := json.Unmarshal(data, &picture); err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	run(t, "2026-11-25", "demo", filepath.Join(folder, "demo"))
	text, err := os.ReadFile(filepath.Join(folder, "demo", "tamsel-bend", "program-book.html"))
	if err != nil {
		t.Fatal(err)
	}
	page := string(text)
	book := shown{Title: textOf(pieces(page, `<h1>(.*?)</h1>`)[0]), Units: cells(t, section(t, page, "grid")), Years: cells(t, section(t, page, "acres"))}
	for _, fact := range pieces(section(t, page, "glance"), `<div>(.*?)</div>`) {
		book.Glance = append(book.Glance, textOf(strings.ReplaceAll(fact, "</dt>", " ")))
	}
	if diff := cmp.Diff(picture, book); diff != "" {
		t.Errorf("the README's picture is not of this demo (- picture, + demo): %s\nhint: .ci/picture makes it anew", diff)
	}
	// The comparison can fail.
	if len(book.Units) < 20 || len(book.Years) != 6 || len(book.Glance) < 4 {
		t.Fatalf("%d units, %d years, %d facts were found", len(book.Units), len(book.Years), len(book.Glance))
	}
	book.Units[3][6] += "0"
	if cmp.Equal(picture, book) {
		t.Error("another figure is taken for the same")
	}
}
