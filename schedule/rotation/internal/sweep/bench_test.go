package sweep

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/testdata/refdata"
)

// BenchmarkSmall sweeps the small development problems to just above their best
// known costs (bench/results.tsv of the reference data; small-105 was found
// here), with blocks of several sizes. It reports tuples and looked-at options.
func BenchmarkSmall(b *testing.B) {
	folder := refdata.Bench(b, "problems")
	for name, best := range map[string]float64{
		"small-101": 1802.912, "small-102": 970.056, "small-103": 533.525, "small-104": 547.5,
		"small-105": 824.275, "small-106": 902.13, "small-107": 3024.522, "small-108": 1115.166,
	} {
		for _, states := range []int{300, 3000} {
			b.Run(fmt.Sprintf("%s/%d", name, states), func(b *testing.B) {
				text, err := os.ReadFile(filepath.Join(folder, name+".json"))
				if err != nil {
					b.Fatal(err)
				}
				p, err := problem.Read(strings.NewReader(string(text)), name)
				if err != nil {
					b.Fatal(err)
				}
				_, s, root := sweeper(b, p, states)
				b.ReportAllocs()
				b.ResetTimer()
				for range b.N {
					out := s.Run(context.Background(), best*1.0001, Limit{Threads: 2})
					if !out.Done {
						b.Fatal("not done")
					}
					b.ReportMetric(out.Cost, "cost")
					b.ReportMetric(float64(out.States), "tuples")
					b.ReportMetric(float64(out.Work), "options")
				}
				b.ReportMetric(root, "root")
			})
		}
	}
}
