package sample

import (
	"fmt"
	"strings"

	"emberquilt/report/view"
)

// HostileNames are texts that a careless writer would run, reorder or choke
// on. A page that runs one sets window.hacked.
func HostileNames() []string {
	return []string{
		`</script><script>window.hacked=1</script>`,
		`"><img src=x onerror="window.hacked=2">`,
		`__f__(function(){window.hacked=3})()__f__`,
		`=1+1`,
		`=HYPERLINK("http://example.invalid/","go")`,
		"line\r\nbreak\nBEGIN:VALARM",
		"\u202Eright to left\u2066",
		strings.Repeat("W", 200),
		"🔥 👩‍🚒 ember",
		`{{.Stamp}} {a} {b} {c} ${1+1}`,
		`'; DROP TABLE unit; -- & <b>bold</b> <!-- `,
		"\u2028\u2029 separators \x1b[31mred\x00",
		"العربية وحدة",
		"-2+3", "@SUM(A1)", "\t=1+1",
		strings.Repeat("very long words ", 625),
		"\xff\xfe not text",
		"=cmd|' /C calc'!A0",
		"{nb} {{nb}} %s %d",
	}
}

// Hostile gives the terrace with every text replaced by a hostile one, and
// names still different from one another.
func Hostile() *view.Plan {
	plan := Terrace()
	names := HostileNames()
	next := 0
	text := func() string {
		next++
		return fmt.Sprintf("%s %d", names[next%len(names)], next)
	}
	p := &plan.Property
	p.Name, p.Place, p.Owner = text(), text(), text()
	p.Name = names[0]
	rename := map[string]string{"": ""}
	fresh := func(name *string) {
		if _, ok := rename[*name]; !ok {
			rename[*name] = text()
		}
		*name = rename[*name]
	}
	for i := range p.Seasons {
		fresh(&p.Seasons[i].Name)
		plan.Problem.Seasons[i] = p.Seasons[i].Name
	}
	for i := range p.Mixes {
		fresh(&p.Mixes[i].Name)
		plan.Problem.Mixes[i].Name = p.Mixes[i].Name
		for c := range p.Mixes[i].Classes {
			fresh(&p.Mixes[i].Classes[c].Name)
			plan.Problem.Mixes[i].Classes[c].Name = p.Mixes[i].Classes[c].Name
		}
	}
	for i := range p.Refuges {
		fresh(&p.Refuges[i].Name)
		plan.Problem.Refuges[i].Name = p.Refuges[i].Name
	}
	for i := range p.Closures {
		fresh(&p.Closures[i].Name)
	}
	for i := range plan.Units {
		u := &plan.Units[i]
		fresh(&u.ID)
		fresh(&u.Cover)
		fresh(&u.Mix)
		fresh(&u.Refuge)
		u.Prescription, u.Notes = text(), text()
		for s := range u.Seasons {
			fresh(&u.Seasons[s].Season)
		}
		plan.Problem.Units[i].ID = u.ID
	}
	for i := range plan.Records {
		r := &plan.Records[i]
		fresh(&r.Unit)
		r.Notes, r.Crew, r.Permit, r.Purpose, r.Escapes, r.FuelMoisture = text(), text(), text(), text(), text(), text()
	}
	for i := range plan.Planned {
		fresh(&plan.Planned[i].Unit)
	}
	for i := range plan.Assumptions {
		plan.Assumptions[i] = text()
	}
	plan.Answer.Warnings = []string{text(), text()}
	plan.Stamp.Data, plan.Stamp.Program = text(), text()
	return plan
}
