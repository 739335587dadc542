//go:build unix

package store

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"testing"

	"emberquilt/habitat"
)

// helperEnv names the task that this binary does instead of testing.
const helperEnv = "EMBERQUILT_STORE_TEST_HELPER"

func TestMain(m *testing.M) {
	if task := os.Getenv(helperEnv); task != "" {
		helper(task, os.Args[1:])
		return
	}
	os.Exit(m.Run())
}

// helper runs in a process of its own. It prints one line when it is under way
// and one for each update that was acknowledged.
func helper(task string, args []string) {
	ctx := context.Background()
	fail := func(err error) {
		if err != nil {
			fmt.Println("error:", err)
			os.Exit(1)
		}
	}
	if task == "create" { // one new file after the other
		for n := 0; ; n++ {
			s, err := Create(ctx, fmt.Sprintf("%s-%d", args[0], n), Making{}, oakHill(), noon)
			fail(err)
			fmt.Println("done", n)
			fail(s.Close())
		}
	}
	s, err := Open(ctx, args[0])
	fail(err)
	defer s.Close()
	switch task {
	case "open":
	case "backup": // one copy after the other
		for n := 0; ; n++ {
			fail(s.Backup(ctx, fmt.Sprintf("%s-%d", args[1], n)))
			fmt.Println("done", n)
		}
	case "update": // one long update after the other, each of which adds 300 units
		for round := 0; ; round++ {
			fmt.Println("begin", round)
			err := s.Update(ctx, noon, "", "helper", func(tx *Tx) error {
				for i := range 300 {
					if err := tx.PutUnit(unit(fmt.Sprintf("%s-%d-%d", args[1], round, i))); err != nil {
						return err
					}
				}
				return nil
			})
			fail(err)
			fmt.Println("done", round)
		}
	case "draft": // one edit after the other, each of which says which it is
		for round := 0; ; round++ {
			err := s.UpdateDraft(ctx, func(tx *Tx) error {
				d, _, err := tx.Draft()
				if err != nil {
					return err
				}
				if d == nil {
					d = &habitat.EditedPlan{Plan: 1}
				}
				d.Add(habitat.EditStep{{Unit: "n1", Year: 2027, Do: habitat.RestCell}, {Unit: "n1", Year: 2028, Do: habitat.BurnCell}})
				return tx.PutDraft(d)
			})
			fail(err)
			fmt.Println("done", round)
		}
	case "spill": // a large update, parts of which are on the disk before it ends
		fail(s.Update(ctx, noon, "", "helper", func(tx *Tx) error {
			// Pages that do not fit in so little memory are written before the end.
			if err := tx.each("PRAGMA cache_size = -1000", nil, func(scanner) error { return nil }); err != nil {
				return err
			}
			for _, u := range manyUnits(20000) {
				if err := tx.PutUnit(u); err != nil {
					return err
				}
			}
			fmt.Println("holding")
			select {}
		}))
	case "hold": // an update that lasts until standard input ends
		fail(s.Update(ctx, noon, "", "helper", func(tx *Tx) error {
			if err := tx.PutUnit(unit("held")); err != nil {
				return err
			}
			fmt.Println("holding")
			bufio.NewReader(os.Stdin).ReadString('\n')
			return nil
		}))
		fmt.Println("let go")
	case "write":
		fail(s.Update(ctx, noon, "", "helper", func(tx *Tx) error { return tx.PutUnit(unit("written")) }))
	}
}

func helperCommand(t testing.TB, task string, args ...string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self, args...)
	cmd.Env = append(os.Environ(), helperEnv+"="+task)
	return cmd
}

// startHelper starts a helper and gives the lines that it prints.
func startHelper(t testing.TB, task string, args ...string) (*exec.Cmd, *bufio.Scanner) {
	t.Helper()
	cmd := helperCommand(t, task, args...)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	return cmd, bufio.NewScanner(out)
}
