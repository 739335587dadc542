package rotation

import (
	"context"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"emberquilt/schedule/rotation/internal/model"
	"emberquilt/schedule/rotation/internal/search"
)

func TestSearchProbe(t *testing.T) {
	for _, name := range strings.Fields(os.Getenv("SEARCH")) {
		m, _ := model.New(read(t, name))
		x := search.New(m, 1)
		s := time.Now()
		for k := 0; k < 8 && time.Since(s) < 60*time.Second; k++ {
			x.Run(context.Background(), search.Budget{Steps: 10000 << k}, search.Guide{})
			_, c, _ := x.Best()
			fmt.Printf("%s steps %d cost %.2f time %v\n", name, x.Steps(), c, time.Since(s).Round(time.Millisecond))
		}
	}
}
