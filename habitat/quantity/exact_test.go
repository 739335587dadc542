package quantity

import (
	"math/big"
	"math/rand/v2"
	"strconv"
	"testing"
)

func TestRoundingIsHalfAwayFromZero(t *testing.T) {
	for _, c := range []struct {
		v        float64
		decimals int
		want     string
	}{
		{0.25, 1, "0.3"}, {0.35, 1, "0.4"}, {-0.25, 1, "-0.3"}, {9.5755, 1, "9.6"}, {9.55, 1, "9.6"}, {9.549999, 1, "9.5"},
		{0.05, 1, "0.1"}, {0.04, 1, "0.0"}, {-0.04, 1, "0.0"}, {999.95, 1, "1,000.0"}, {2.5, 0, "3"}, {1.005, 2, "1.01"}, {1234567.25, 1, "1,234,567.3"}, {99.99, 1, "100.0"},
	} {
		if got := Group(c.v, c.decimals); got != c.want {
			t.Errorf("Group(%v, %d) = %s, want %s", c.v, c.decimals, got, c.want)
		}
	}
}

// Sums of decimals equal those that math/big's rationals give.
func TestExactSums(t *testing.T) {
	random := rand.New(rand.NewPCG(16, 1))
	for range 200 {
		sum, want := Exact(0), new(big.Rat)
		for range 50 {
			text := strconv.FormatFloat(random.Float64()*500, 'f', random.IntN(7), 64)
			v, err := strconv.ParseFloat(text, 64)
			if err != nil {
				t.Fatal(err)
			}
			one, _ := new(big.Rat).SetString(text)
			sum += ExactOf(v)
			want.Add(want, one)
		}
		if got := new(big.Rat).SetFrac64(int64(sum), exactUnit); got.Cmp(want) != 0 {
			t.Fatalf("the sum is %s, want %s", got, want)
		}
		if back := strconv.FormatFloat(sum.Float(), 'f', -1, 64); back != trimmed(want.FloatString(6)) {
			t.Fatalf("%s prints as %s", want.FloatString(6), back)
		}
	}
	if ExactOf(0.1)+ExactOf(0.2) != ExactOf(0.3) || ExactOf(-1.5) != -1_500_000 || ExactOf(9.65).Tenths() != ExactOf(9.7) {
		t.Error("0.1 + 0.2 is not 0.3")
	}
}

func trimmed(text string) string {
	for text[len(text)-1] == '0' {
		text = text[:len(text)-1]
	}
	if text[len(text)-1] == '.' {
		text = text[:len(text)-1]
	}
	return text
}
