package table

import (
	"bytes"
	"os"
	"testing"

	"github.com/xuri/excelize/v2"

	"emberquilt/report/internal/sample"
)

func TestRecordForm(t *testing.T) {
	plan := sample.Terrace()
	write := func() []byte {
		var b bytes.Buffer
		if err := RecordForm(&b, plan.Stamp, plan.Units); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	form := write()
	if !bytes.Equal(form, write()) {
		t.Error("two forms differ")
	}
	if path := os.Getenv("FORM"); path != "" {
		if err := os.WriteFile(path, form, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	f, err := excelize.OpenReader(bytes.NewReader(form))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := f.GetRows("burns")
	if err != nil || len(rows[0]) != len(formColumns()) || rows[0][0] != "unit" || rows[0][1] != "date" {
		t.Errorf("%q, %v", rows, err)
	}
	choices, err := f.GetDataValidations("burns")
	if err != nil || len(choices) != 3 {
		t.Errorf("%d lists of choices, %v", len(choices), err)
	}
	names, err := f.GetRows("units")
	if err != nil || len(names) != len(plan.Units)+1 || names[1][0] != plan.Units[0].ID {
		t.Errorf("%d unit names, %v", len(names), err)
	}
}
