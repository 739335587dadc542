package list

import (
	"archive/zip"
	"bytes"
	"context"
	"io"
	"strings"
	"testing"

	"emberquilt/habitat/source"
)

func FuzzReadContacts(f *testing.F) {
	f.Add([]byte("name,phone,when,for\nFire department,555-0100,the day before,permit\n"))
	f.Add([]byte("name;phone\r\n\"Neighbor; east\";555-0101\r\n"))
	f.Add([]byte("\xff\xfen\x00a\x00m\x00e\x00"))
	f.Fuzz(func(_ *testing.T, data []byte) { _, _ = ReadContacts(context.Background(), data, "contacts.csv") })
}

// FuzzReadSheet puts any XML into a workbook that is whole otherwise, so that it is the
// sheet that is read, not the packing: nothing panics, and errors name the file.
func FuzzReadSheet(f *testing.F) {
	whole := workbook(f, map[string][][]any{"units": {{"unit", "acres", "min_interval", "max_interval"}, {"n3", 5, 2, 3}}}, "units")
	archive, err := zip.NewReader(bytes.NewReader(whole), int64(len(whole)))
	if err != nil {
		f.Fatal(err)
	}
	const sheet = "xl/worksheets/sheet1.xml"
	parts := map[string][]byte{}
	for _, part := range archive.File {
		in, err := part.Open()
		if err != nil {
			f.Fatal(err)
		}
		if parts[part.Name], err = io.ReadAll(in); err != nil {
			f.Fatal(err)
		}
	}
	if len(parts[sheet]) == 0 {
		f.Fatal("the seed is empty")
	}
	f.Add(parts[sheet])
	f.Fuzz(func(t *testing.T, data []byte) {
		var b bytes.Buffer
		out := zip.NewWriter(&b)
		for _, part := range archive.File {
			w, err := out.Create(part.Name)
			if err != nil {
				t.Fatal(err)
			}
			if part.Name == sheet {
				w.Write(data)
			} else {
				w.Write(parts[part.Name])
			}
		}
		if err := out.Close(); err != nil {
			t.Fatal(err)
		}
		if _, err := Read(t.Context(), b.Bytes(), "f.xlsx", Options{}); err != nil && (!source.Is(err) || !strings.Contains(err.Error(), "f.xlsx")) {
			t.Errorf("no place: %v", err)
		}
	})
}
