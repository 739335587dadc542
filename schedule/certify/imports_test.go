package certify

import (
	"os/exec"
	"strings"
	"testing"
)

// TestSharesNothingWithTheSearch asks the go command what the package is made
// of: nothing of it may lie below schedule/rotation.
func TestSharesNothingWithTheSearch(t *testing.T) {
	list, err := exec.Command("go", "list", "-deps", ".").CombinedOutput()
	if err != nil {
		t.Skipf("go list: %v: %s", err, list)
	}
	if !strings.Contains(string(list), "emberquilt/schedule/problem") {
		t.Fatalf("the list is not what it seems: %s", list)
	}
	for _, one := range strings.Fields(string(list)) {
		if strings.HasPrefix(one, "emberquilt/schedule/rotation") {
			t.Errorf("it depends on %s", one)
		}
	}
}
