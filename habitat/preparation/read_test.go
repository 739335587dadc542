package preparation

import (
	"bytes"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"emberquilt/habitat"
)

func TestStarterListComesBack(t *testing.T) {
	var file bytes.Buffer
	if err := Write(&file, Starter()); err != nil {
		t.Fatal(err)
	}
	got, err := Read(&file, "tasks.toml")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(Starter(), got, cmpopts.EquateEmpty()); diff != "" {
		t.Errorf("the list changed on its way (-want +got):\n%s", diff)
	}
}

func TestReadBadTasks(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"unknown key":                  {"[[task]]\nname = \"a\"\nlead = 3\n", `tasks.toml:3:task[0].lead: "lead" is not a key of a task; accepts name, units, covers, `},
		"a key of the second task":     {"[[task]]\nname = \"a\"\nlatest = 1\nearliest = 2\n[[task]]\nname = \"b\"\nlatst = 3\n", "tasks.toml:7:task[1].latst: "},
		"a key of the list":            {"name = \"a\"\n[[task]]\nname = \"a\"\n", `tasks.toml:1:name: "name" is not a key of a list of tasks; accepts [[task]]`},
		"a near key":                   {"[[task]]\nname = \"a\"\nerliest = 3\n", "did you mean earliest?"},
		"wrong type":                   {"[[task]]\nname = 3\n", "tasks.toml:2:task.name: a value of kind integer stands here; accepts text in quotes"},
		"half a day":                   {"[[task]]\nname = \"a\"\nlatest = 1.5\n", "tasks.toml:3:task.latest: a value of kind float stands here; accepts a whole number"},
		"not TOML":                     {"name: a\n", "tasks.toml:1:"},
		"no lead":                      {"[[task]]\nname = \"a\"\n", `tasks.toml:2:task[0].name: "a" has no lead time`},
		"half a lead":                  {"[[task]]\nname = \"a\"\nlatest = 3\n", "only one end"},
		"crossed lead":                 {"[[task]]\nname = \"b\"\nearliest = 9\nlatest = 1\n\n[[task]]\nname = \"a\"\nearliest = 1\nlatest = 9\n", "tasks.toml:8:task[1].earliest: earliest 1 and latest 9"},
		"no such day":                  {"[[task]]\nname = \"a\"\nfirst = \"02-30\"\nlast = \"03-01\"\n", `tasks.toml:3:task[0].first: "02-30" is not a day of the year`},
		"a line that looks like a key": {"[[task]]\nname = \"a\"\nearliest = 1\nlatest = 9\nnotes = \"\"\"\nearliest = 5\n\"\"\"\n", "tasks.toml:3:task[0].earliest: earliest 1 and latest 9"},
		"inline":                       {"task = [\n  { name = \"b\", earliest = 9, latest = 1 },\n  { name = \"a\", earliest = 1, latest = 9 },\n]\n", "tasks.toml:3:task[1].earliest: earliest 1 and latest 9"},
		"quoted keys":                  {"[[ \"task\" ]]\n'name' = \"a\"\n'earliest' = 1\nlatest = 9\n", "tasks.toml:3:task[0].earliest: earliest 1 and latest 9"},
		"no name":                      {"\n[[task]]\nearliest = 9\nlatest = 1\n", "tasks.toml:2:task[0].name: "},
		"empty":                        {"", "tasks.toml: is empty"},
		"no task":                      {"# nothing yet\n", "holds no task"},
		"too large":                    {strings.Repeat("# a long remark\n", 70_000), "tasks.toml: is larger than 1 MB; accepts a list of tasks as TOML"},
		"too many keys":                {strings.Repeat("a=1\n", 20_001), "tasks.toml: has 20,001 keys; accepts a list of tasks as TOML of at most 20,000 keys"},
		"as many as are read":          {"[[task]]\n" + strings.Repeat("b=1\n", 20_000), "tasks.toml:3:b: "},
		"binary":                       {"\x00\x01\x02", "tasks.toml"},
	} {
		_, err := Read(strings.NewReader(c.text), "tasks.toml")
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want one with %q", name, err, c.want)
		}
	}
}

func FuzzRead(f *testing.F) {
	var file bytes.Buffer
	if err := Write(&file, Starter()); err != nil {
		f.Fatal(err)
	}
	f.Add(file.String())
	f.Fuzz(func(t *testing.T, text string) {
		tasks, err := Read(strings.NewReader(text), "f")
		if err != nil {
			return
		}
		var again bytes.Buffer
		if err := Write(&again, tasks); err != nil {
			t.Fatal(err)
		}
		back, err := Read(&again, "f")
		if err != nil {
			t.Fatalf("what was read cannot be read again: %v", err)
		}
		if diff := cmp.Diff(tasks, back, cmpopts.EquateEmpty(), cmpopts.IgnoreFields(habitat.Task{}, "Standing")); diff != "" {
			t.Fatal(diff)
		}
	})
}
