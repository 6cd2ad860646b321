package main

import (
	"fmt"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	pages "wornway/cmd/wornway/internal/page"
	"wornway/profile/entry"
	"wornway/profile/survey"
)

// tempo keeps how long answers took.
type tempo struct {
	lock sync.Mutex
	took []time.Duration
}

func (k *tempo) time(do func()) {
	begun := time.Now()
	do()
	k.lock.Lock()
	defer k.lock.Unlock()
	k.took = append(k.took, time.Since(begun))
}

// share is how long the quickest of a share of answers took.
func (k *tempo) share(of float64) time.Duration {
	if len(k.took) == 0 {
		return 0
	}
	slices.Sort(k.took)
	return k.took[min(len(k.took)-1, int(of*float64(len(k.took))))].Round(time.Millisecond)
}

// inUse is what is kept in memory, MB.
func inUse() float64 {
	runtime.GC()
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return float64(m.HeapAlloc) / (1 << 20)
}

// Four telephones ask together 60 times a second about a lathe whose wear is stated, each about another length every
// second, and four times a second about one that has readings, to which a reading is added each second: every third
// one is sent twice, as by a telephone that has not heard that it was taken. None is lost, none stands there twice, and
// what is kept in memory does not grow. It is done for two seconds, for a minute with -study:
//
//	go test ./cmd/wornway -run PageUnderLoad -study -v
func TestPageUnderLoad(t *testing.T) {
	last := time.Duration(howOften(2, 60, 2)) * time.Second
	workshop(t)
	lathe, _, _ := strings.Cut(mustRead(t, "demo.toml"), "[[damage]]")
	put(t, "read.toml", lathe+`
[[survey]]
method = "bar-side"
date = 2026-03-14
reading_unit = "thou"
columns = ["position", "reading"]
rows = [[4, 0.9], [5, 1.7], [6, 2.2], [7, 2.5], [8, 2.6], [9, 2.5], [10, 2.2], [11, 1.9], [12, 1.4]]
`)
	stated, read := serve(t, pages.Options{}), serve(t, pages.Options{Profile: "read.toml"})
	body := read.begin("saddle-level", "2026-03-14", "0.02 mm/m", "", "every 0.25")
	if !strings.Contains(words(body), "1 of") {
		t.Fatalf("no station is asked for: %s", words(body))
	}

	var all sync.WaitGroup
	var known, fresh, estimated, written tempo
	begun := time.Now()
	every := func(pace time.Duration, do func(i int)) {
		all.Go(func() {
			tick := time.NewTicker(pace)
			defer tick.Stop()
			for i := 0; time.Since(begun) < last; i++ {
				do(i)
				<-tick.C
			}
		})
	}
	const phones, aSecond = 4, 15
	sure := regexp.MustCompile(`(?i)cut to [0-9.]+ in, dial to 0|there is nothing (to dial|worth dialling)`)
	for phone := range phones {
		every(time.Second/aSecond, func(i int) {
			k := &known
			if i%aSecond == 0 {
				k = &fresh
			}
			k.time(func() {
				path := fmt.Sprintf("/?from=%.2f&to=12&diameter=1", 4+float64(phone)+float64(i/aSecond%97)*0.01)
				if status, body := stated.get(path); status != 200 || !sure.MatchString(body) {
					t.Errorf("%s: %d %.300s", path, status, words(body))
				}
			})
		})
		every(time.Second, func(i int) {
			estimated.time(func() {
				path := fmt.Sprintf("/?from=%.2f&to=12&diameter=1", 4+float64(phone)+float64(i%97)*0.01)
				if status, body := read.get(path); status != 200 || !sure.MatchString(body) {
					t.Errorf("%s: %d %.300s", path, status, words(body))
				}
			})
		})
	}
	var sent []string
	every(time.Second, func(i int) {
		reading := fmt.Sprintf("1.%03d1", i)
		written.time(func() {
			status, next := read.answer(body, reading)
			if sent = append(sent, reading); status != 200 {
				t.Errorf("reading %s: %d", reading, status)
			}
			if i%3 == 0 {
				if status, _ := read.answer(body, reading); status != 409 {
					t.Errorf("reading %s a second time: %d", reading, status)
				}
			}
			body = next
		})
	})
	memory := []float64{}
	all.Go(func() {
		for i := range 3 {
			time.Sleep(time.Until(begun.Add(last * time.Duration(i+1) / 3)))
			memory = append(memory, inUse())
		}
	})
	all.Wait()
	took := time.Since(begun)

	method, _ := survey.Find("saddle-level")
	e, err := entry.Find([]byte(mustRead(t, "read.toml")), method)
	if err != nil || e == nil {
		t.Fatalf("%v in\n%s", err, mustRead(t, "read.toml"))
	}
	var there []string
	for _, row := range e.Rows {
		there = append(there, row.Cells["reading"])
	}
	if !slices.Equal(there, sent) || len(sent) == 0 {
		t.Errorf("sent %v, in the file %v", sent, there)
	}
	const most = 512 // MB: in a few seconds answers that are kept still fill their room
	if *study && memory[2] > memory[1]*1.25 || memory[2] > most {
		t.Errorf("memory grows: %.1f MB", memory)
	}
	if *study && known.share(0.5) > 100*time.Millisecond {
		t.Errorf("half of the answers from stated wear took more than %v", known.share(0.5))
	}
	t.Logf("in %v: %d answers from stated wear (%.0f a second), median %v, 95 %% within %v; %d of them of a new "+
		"length, median %v, 95 %% within %v; %d from readings, median %v, 95 %% within %v; %d readings written, "+
		"median %v; memory %.1f MB", took.Round(time.Second), len(known.took)+len(fresh.took),
		float64(len(known.took)+len(fresh.took))/took.Seconds(), known.share(0.5), known.share(0.95), len(fresh.took),
		fresh.share(0.5), fresh.share(0.95), len(estimated.took), estimated.share(0.5), estimated.share(0.95),
		len(written.took), written.share(0.5), memory)
}
