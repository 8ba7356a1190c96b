package main

import (
	"bufio"
	"context"
	"io"
	"net"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"
)

// The bench answers at the address that it prints, and ends well when it is interrupted.
func TestBenchServesUntilInterrupted(t *testing.T) {
	folder := houseFolder(t, benchHouse)
	ctx, interrupt := context.WithCancel(context.Background())
	defer interrupt()
	from, to := io.Pipe()
	ended := make(chan int, 1)
	var errs strings.Builder
	go func() {
		ended <- run(ctx, []string{"bench", folder}, streams{in: strings.NewReader(""), out: to, err: &errs, now: func() time.Time { return testDay }})
		to.Close()
	}()
	line, err := bufio.NewReader(from).ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	go io.Copy(io.Discard, from)
	address := strings.TrimSpace(strings.TrimPrefix(line, "The bench is open at "))
	if !strings.HasPrefix(address, "http://127.0.0.1:") {
		t.Fatalf("the address is %s", address)
	}
	refusedElsewhere(t, address)
	answer, err := http.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	page, err := io.ReadAll(answer.Body)
	answer.Body.Close()
	if err != nil || answer.StatusCode != 200 || !strings.Contains(string(page), "Order 7: Window") {
		t.Errorf("%s, %v: %.200s", answer.Status, err, page)
	}
	interrupt()
	select {
	case status := <-ended:
		if status != statusWell || errs.String() != "" {
			t.Errorf("status %d, %s", status, errs.String())
		}
	case <-time.After(10 * time.Second):
		t.Fatal("the bench does not end")
	}
}

// refusedElsewhere tries the port on every other address of this machine.
func refusedElsewhere(t *testing.T, address string) {
	t.Helper()
	at, err := url.Parse(address)
	if err != nil {
		t.Fatal(err)
	}
	addresses, err := net.InterfaceAddrs()
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range addresses {
		ip, _, err := net.ParseCIDR(a.String())
		if err != nil || ip.To4() == nil || ip.IsLoopback() {
			continue
		}
		conn, err := net.DialTimeout("tcp", net.JoinHostPort(ip.String(), at.Port()), time.Second)
		if err == nil {
			conn.Close()
			t.Errorf("the bench answers at %s too", ip)
		}
	}
}

func TestBenchMisuse(t *testing.T) {
	folder := houseFolder(t, benchHouse)
	other, err := net.Listen("tcp4", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	_, taken, _ := net.SplitHostPort(other.Addr().String())
	tests := []struct {
		args   []string
		status int
		says   string
	}{
		{nil, statusMisused, "FOLDER"},
		{[]string{"-"}, statusMisused, "standard input"},
		{[]string{folder, "--port", "70000"}, statusMisused, "--port"},
		{[]string{folder, "--effort", "0"}, statusMisused, "--effort"},
		{[]string{folder + "/absent"}, statusFile, "absent"},
		{[]string{folder, "--port", taken}, statusFile, "port " + taken + " is in use"},
	}
	for _, tt := range tests {
		if got := squab("", append([]string{"bench"}, tt.args...)...); got.status != tt.status || !strings.Contains(got.err, tt.says) {
			t.Errorf("%v: status %d, %s", tt.args, got.status, got.err)
		}
	}
}

// A bench that is open over midnight takes the new day for orders without a date, unless --date names one.
func TestBenchToday(t *testing.T) {
	day := time.Date(2026, 3, 2, 23, 59, 0, 0, time.UTC)
	now := func() time.Time { return day }
	var floating, fixed benchFlags
	fixed.date, fixed.day = "2026-01-01", dayOf(time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC))
	before, named := floating.today(now)(), fixed.today(now)()
	day = day.Add(2 * time.Minute)
	if after := floating.today(now)(); after != before+1 {
		t.Errorf("two minutes around midnight lead from day %d to %d", before, after)
	}
	if fixed.today(now)() != named || named != fixed.day {
		t.Errorf("the day that is named is %d, and then %d", named, fixed.today(now)())
	}
}
