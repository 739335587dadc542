package app

import (
	"context"
	"path/filepath"
	"strings"
	"testing"

	"emberquilt/habitat/prescription"
	"emberquilt/habitat/weather"
)

// TestForgedValuesAreNamed alters values that the store keeps as it gets them, and seals
// the file anew, as whoever reads the program can. Verify names them; what rests on them
// is refused, where a book of 2,147,483,648 years would be written, or end the program.
func TestForgedValuesAreNamed(t *testing.T) {
	ctx := context.Background()
	v := newVictim(t)
	s, err := Open(ctx, v.file, ToChange, on("2026-11-25"))
	if err != nil {
		t.Fatal(err)
	}
	if err := s.LoadPrescriptions(ctx, prescription.Starters()); err != nil {
		t.Fatal(err)
	}
	demo, err := DemoWeather(ctx)
	if err != nil {
		t.Fatal(err)
	}
	record, err := weather.Restore("demo", demo[0].about, demo[0].hours)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.LoadWeather(ctx, "ridge", record); err != nil {
		t.Fatal(err)
	}
	name := prescription.Starters()[0].Name
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	plan := func(s *Session) error { _, err := s.Contents(ctx, 1); return err }
	for _, c := range []struct {
		query, want string
		ask         func(s *Session) error
	}{
		{"UPDATE plan SET years = 2147483648", "from 2027 on for 2,147,483,648 years, and its problem and answer are of one that is", plan},
		{"UPDATE plan SET first_year = 1000000", "from 1000000 on for", plan},
		{"UPDATE plan SET status = 'infeasible'", `the file says that it is "infeasible"`, plan},
		{"UPDATE plan SET problem = x'00'", "plan 1", plan},
		{"UPDATE document_version SET body = replace(body, '\"name\":\"" + name + "\"', '\"name\":\"x\"') WHERE kind = 'prescription'",
			`prescription ` + name + `:name: "x" is kept under another name; accepts a property file as emberquilt wrote it`,
			func(s *Session) error { _, err := s.Outlook(ctx); return err }},
		{"UPDATE document_version SET body = '{}' WHERE kind = 'prescription' AND name = '" + name + "'", "prescription " + name, func(s *Session) error { _, err := s.LoadedPrescriptions(); return err }},
		{"UPDATE document_version SET body = replace(body, '\"UTCOffset\":', '\"UTCOffset\":-1e308, \"x\":') WHERE kind = 'weather'", "weather ridge: its weather record cannot be read (its UTC offset is -1e+308 hours)",
			func(s *Session) error { _, err := s.Outlook(ctx); return err }},
	} {
		t.Run(c.query[:30], func(t *testing.T) {
			folder := t.TempDir()
			v.copied(t, folder)
			file := filepath.Join(folder, filepath.Base(v.file))
			f := forge(t, nil, file)
			f.run(c.query)
			f.sealAll()
			f.close()
			got, err := Verify(ctx, file, KeptSeals{})
			if err != nil || got.IsIntact() || !strings.Contains(strings.Join(got.Faults, "\n"), c.want) {
				t.Errorf("%v %+v, want a fault with %q", err, got, c.want)
			}
			s, err := Open(ctx, file, ToRead, on("2026-11-25"))
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			if err := c.ask(s); err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%v, want %q", err, c.want)
			}
			if err := s.Store.Backup(ctx, filepath.Join(folder, "copy"+Extension)); err != nil {
				t.Error(err)
			}
		})
	}
}
