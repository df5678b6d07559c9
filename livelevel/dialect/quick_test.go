package dialect

import (
	"fmt"
	"math"
	"testing"
	"time"
)

func gen(i int) (dist, pct float64, pump int, up int) {
	d := 80 + 40*math.Sin(float64(i)/30) + 0.1*float64(i%3)
	p := 0
	if math.Cos(float64(i)/30) < 0 {
		p = 1
	}
	return d, 100 * (170 - d) / 135, p, 5000 + 200*i
}

func TestQuick(t *testing.T) {
	onoff := []string{"OFF", "ON"}
	fams := map[string]func(i int) string{
		"prose": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("Distance: %.1f cm  Level: %.0f %%  Pump: %s", d, p, onoff[m])
		},
		"kv": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("dist=%.1fcm level=%.0f pump=%d", d, p, m)
		},
		"t=": func(i int) string {
			d, p, m, u := gen(i)
			return fmt.Sprintf("t=%d dist=%.1fcm level=%.0f%% pump=%s", u, d, p, onoff[m])
		},
		"esp": func(i int) string {
			d, p, m, u := gen(i)
			return fmt.Sprintf("\x1b[0;32mI (%d) ultra: Distance %.1f cm, level %.0f%%, pump %s\x1b[0m", u, d, p, onoff[m])
		},
		"json": func(i int) string {
			d, p, m, u := gen(i)
			return fmt.Sprintf(`{"up":%d,"tank":{"dist_mm":%.0f,"pct":%.1f},"pump":%v}`, u, d*10, p, m == 1)
		},
		"csv": func(i int) string {
			d, p, m, u := gen(i)
			if i == 0 {
				return "time_ms,distance_cm,level_pct,pump"
			}
			return fmt.Sprintf("%d,%.1f,%.0f,%d", u, d, p, m)
		},
		"csvde":   func(i int) string { d, p, m, u := gen(i); return fmt.Sprintf("%d;%s;%.0f;%d", u, comma(d), p, m) },
		"csvbare": func(i int) string { d, p, m, _ := gen(i); return fmt.Sprintf("%.0f,%.0f,%d", d*10, p, m) },
		"bare":    func(i int) string { d, _, _, _ := gen(i); return fmt.Sprintf("%.1f", d) },
		"baremm":  func(i int) string { d, _, _, _ := gen(i); return fmt.Sprintf("%.0f", d*10) },
		"barem":   func(i int) string { d, _, _, _ := gen(i); return fmt.Sprintf("%.3f", d/100) },
		"barede":  func(i int) string { d, _, _, _ := gen(i); return comma(d) },
		"echo":    func(i int) string { d, _, m, _ := gen(i); return fmt.Sprintf("echo: %.0f us relay: %d", d*58, m) },
		"inch": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("Range %.1f in | Fill %.0f%% | Motor %s", d/2.54, p, onoff[m])
		},
		"de": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("Abstand: %s cm; Füllstand: %.0f %%; Pumpe: %s", comma(d), p, []string{"AUS", "EIN"}[m])
		},
		"es": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("Distancia=%.1f cm Nivel=%.0f%% Bomba=%s", d, p, []string{"apagada", "encendida"}[m])
		},
		"block": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("Distance: %.1f cm\nLevel: %.0f %%\nPump: %s\n", d, p, onoff[m])
		},
		"rule": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("-----------\nDistance: %.1f cm\nLevel: %.0f %%\nPump: %s", d, p, onoff[m])
		},
		"cycle": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("Water dist %.1f cm\nLevel %.0f %%\nPump %s", d, p, onoff[m])
		},
		"iso": func(i int) string {
			d, p, m, _ := gen(i)
			return time.Unix(1777880000+int64(i), 0).UTC().Format("2006-01-02T15:04:05Z") + fmt.Sprintf(" dist=%.1f lvl=%.0f pump=%d temp=23.4 supply=5.02 humidity=44", d, p, m)
		},
		"R": func(i int) string { d, _, _, _ := gen(i); return fmt.Sprintf("R%04.0f", d*10) },
		"hm": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("[%02d:%02d:%02d] D:%.1f L:%.0f P:%d T:23.5", i/3600, i/60%60, i%60, d, p, m)
		},
	}
	for name, f := range fams {
		var lines []string
		for i := range 120 {
			s := f(i)
			for len(s) > 0 {
				k := 0
				for k < len(s) && s[k] != '\n' {
					k++
				}
				lines = append(lines, s[:k])
				if k == len(s) {
					break
				}
				s = s[k+1:]
				if s == "" {
					lines = append(lines, "")
				}
			}
		}
		p := Learn(lines, nil)
		fmt.Printf("%-8s %s conf %.2f settled %v %s block %+v enc %s dec %s\n", name, p.Dialect.Kind, p.Confidence, p.Settled, p.Why, p.Dialect.Block, p.Dialect.Encoding, p.Dialect.Decimal)
		for _, c := range p.Columns {
			fmt.Printf("      %-14s %-14v %-6s %.2f (%v) %q %v\n", c.At, c.Role, c.Unit, c.Confidence, c.RunnerUp, c.Sample, c.Lost)
		}
		dec, err := NewDecoder(p.Dialect)
		if err != nil {
			fmt.Println(err)
			continue
		}
		var out = dec.Decode(nil, nil, time.Time{})
		for _, l := range lines {
			out = dec.Decode(out, []byte(l), time.Time{})
		}
		n := map[string]int{}
		for _, r := range out {
			n[fmt.Sprint(r.Kind)+" "+r.Text]++
		}
		fmt.Println("      ", n)
	}
}

func comma(d float64) string {
	b := []byte(fmt.Sprintf("%.1f", d))
	for i := range b {
		if b[i] == '.' {
			b[i] = ','
		}
	}
	return string(b)
}
