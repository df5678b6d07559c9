package dialect

import (
	"fmt"
	"maps"
	"math"
	"time"
)

// feeds are the invented controllers whose output stands in testdata/feeds; go test -update writes them anew.
func feeds() map[string]func(i int) string {
	all := map[string]func(i int) string{}
	for _, family := range []map[string]func(i int) string{
		sentenceFeeds(), loggerFeeds(), languageFeeds(), blockFeeds(), bareFeeds(), csvFeeds(), lostFeeds(), standardFeeds(),
	} {
		maps.Copy(all, family)
	}
	return all
}

// sentenceFeeds are lines of words and numbers in English, with and without units.
func sentenceFeeds() map[string]func(i int) string {
	return map[string]func(i int) string{
		"prose": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("Distance: %.1f cm  Level: %.0f %%  Pump: %s", d, p, on(m, "OFF", "ON"))
		},
		"kv": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("dist=%.1fcm level=%.0f pump=%d", d, p, m)
		},
		"keys-uptime": func(i int) string {
			d, p, m, u := gen(i)
			return fmt.Sprintf("t=%d dist=%.1fcm level=%.0f%% pump=%s", u, d, p, on(m, "OFF", "ON"))
		},
		"inch": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("Range %.1f in | Fill %.0f%% | Motor %s", d/2.54, p, on(m, "OFF", "ON"))
		},
		"echo":          func(i int) string { d, _, m, _ := gen(i); return fmt.Sprintf("echo: %.0f us relay: %d", d*58, m) },
		"echo-only":     func(i int) string { d, _, _, _ := gen(i); return fmt.Sprintf("%.0f us", d*58.2) },
		"inches-bare":   func(i int) string { d, p, _, _ := gen(i); return fmt.Sprintf("%.1f in %.0f%%", d/2.54, p) },
		"letter-number": func(i int) string { d, _, _, _ := gen(i); return fmt.Sprintf("R%04.0f", d*10) },
		"marks": func(i int) string {
			d, p, m, u := gen(i)
			return fmt.Sprintf("up=%ds dist=%.1f lvl=%.0f full=35.0 empty=170.0 low_set=40 full_set=95 mode=AUTO pump=%d btn=0 float=1", u/1000, d, p, m)
		},
		"levelcm": func(i int) string {
			d, _, m, _ := gen(i)
			return fmt.Sprintf("Water level: %.1f cm, volume %.0f L, motor %s, current %.2f A", 170-d, (170-d)*9.5, on(m, "OFF", "ON"), float64(m)*2.8)
		},
		"nounits": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("Distance %.1f Level %.1f Pump %s Temp %.1f Hum %.0f Volt %.2f", d, p, on(m, "OFF", "ON"), 24.1, 88.0, 5.03)
		},
		"colon-nospace": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("D:%.1fcm,L:%.0f%%,P:%d,S:4.97V,U:%d", d, p, m, i*200+3000)
		},
	}
}

// loggerFeeds are lines that a logger stamps: its clock, its level, its colours.
func loggerFeeds() map[string]func(i int) string {
	return map[string]func(i int) string{
		"esp": func(i int) string {
			d, p, m, u := gen(i)
			return fmt.Sprintf("\x1b[0;32mI (%d) ultra: Distance %.1f cm, level %.0f%%, pump %s\x1b[0m", u, d, p, on(m, "OFF", "ON"))
		},
		"loglevel": func(i int) string {
			d, p, m, u := gen(i)
			if i%10 == 3 {
				return fmt.Sprintf("\x1b[0;33mW (%d) wifi: signal weak rssi=-80\x1b[0m", u)
			}
			return fmt.Sprintf("\x1b[0;32mI (%d) tank: lvl=%.1f%% d=%.1fcm pump=%s v=4.98V\x1b[0m", u, p, d, on(m, "off", "on"))
		},
		"iso": func(i int) string {
			d, p, m, _ := gen(i)
			return time.Unix(1777880000+int64(i), 0).UTC().Format("2006-01-02T15:04:05Z") + fmt.Sprintf(" dist=%.1f lvl=%.0f pump=%d temp=23.4 supply=5.02 humidity=44", d, p, m)
		},
		"time-of-day": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("[%02d:%02d:%02d] D:%.1f L:%.0f P:%d T:23.5", i/3600, i/60%60, i%60, d, p, m)
		},
		"brackets": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("[00:%02d:%02d.%03d][INFO] level(%%)=%.1f distance(cm)=%.1f relay=%s", i/60, i%60, i%1000, p, d, on(m, "OPEN", "CLOSED"))
		},
	}
}

// languageFeeds are lines in other languages than English.
func languageFeeds() map[string]func(i int) string {
	return map[string]func(i int) string{
		"de": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("Abstand: %s cm; Füllstand: %.0f %%; Pumpe: %s", comma(d), p, on(m, "AUS", "EIN"))
		},
		"es": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("Distancia=%.1f cm Nivel=%.0f%% Bomba=%s", d, p, on(m, "apagada", "encendida"))
		},
		"fr": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("Niveau=%.0f%%;Distance=%.2fm;Pompe=%s;T=%.1f", p, d/100, on(m, "arret", "marche"), 21.5+float64(i%4)/10)
		},
		"pl": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("odleglosc: %.0f mm, poziom: %.0f %%, pompa: %s, napiecie: %.2f V", d*10, p, on(m, "WYL", "WL"), 5.01)
		},
		"it": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("Distanza: %s cm - Livello: %.0f%% - Pompa: %s - Tensione: %s V", comma(d), p, on(m, "SPENTA", "ACCESA"), "4,95")
		},
		"nl": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("afstand=%.1f cm waterpeil=%.0f %% pomp=%s spanning=%.2f V bedrijfstijd=%d s", d, p, on(m, "uit", "aan"), 5.02, i)
		},
		"pt": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("Distancia: %.0f mm | Nivel: %.0f %% | Bomba: %s | Vazao: %.1f l/min", d*10, p, on(m, "DESLIGADA", "LIGADA"), 12.5*float64(m))
		},
		"de-block": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("Messung\nAbstand zum Wasser : %s cm\nFüllstand : %.0f %%\nPumpe : %s\nVersorgung : 4,98 V\n====", comma(d), p, on(m, "aus", "ein"))
		},
	}
}

// blockFeeds are reports of several lines.
func blockFeeds() map[string]func(i int) string {
	return map[string]func(i int) string{
		"block": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("Distance: %.1f cm\nLevel: %.0f %%\nPump: %s\n", d, p, on(m, "OFF", "ON"))
		},
		"rule": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("-----------\nDistance: %.1f cm\nLevel: %.0f %%\nPump: %s", d, p, on(m, "OFF", "ON"))
		},
		"cycle": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("Water dist %.1f cm\nLevel %.0f %%\nPump %s", d, p, on(m, "OFF", "ON"))
		},
		"two-lines": func(i int) string {
			d, p, m, _ := gen(i)
			return fmt.Sprintf("Distance: %.1f cm\nLevel %.0f%% Pump %s", d, p, on(m, "OFF", "ON"))
		},
	}
}

// bareFeeds are numbers without a word.
func bareFeeds() map[string]func(i int) string {
	return map[string]func(i int) string{
		"bare":    func(i int) string { d, _, _, _ := gen(i); return fmt.Sprintf("%.1f", d) },
		"baremm":  func(i int) string { d, _, _, _ := gen(i); return fmt.Sprintf("%.0f", d*10) },
		"barem":   func(i int) string { d, _, _, _ := gen(i); return fmt.Sprintf("%.3f", d/100) },
		"barede":  func(i int) string { d, _, _, _ := gen(i); return comma(d) },
		"csvbare": func(i int) string { d, p, m, _ := gen(i); return fmt.Sprintf("%.0f,%.0f,%d", d*10, p, m) },
		"space":   func(i int) string { d, p, m, u := gen(i); return fmt.Sprintf("%d %.1f %.0f %d", u, d, p, m) },
	}
}

// csvFeeds are separated values, with a header and without.
func csvFeeds() map[string]func(i int) string {
	return map[string]func(i int) string{
		"csv": func(i int) string {
			d, p, m, u := gen(i)
			if i == 0 {
				return "time_ms,distance_cm,level_pct,pump"
			}
			return fmt.Sprintf("%d,%.1f,%.0f,%d", u, d, p, m)
		},
		"csvhash": func(i int) string { // a header that other programs are to pass over
			d, p, m, u := gen(i)
			if i == 0 {
				return "#time_ms,distance_cm,level_pct,pump"
			}
			return fmt.Sprintf("%d,%.1f,%.0f,%d", u, d, p, m)
		},
		"csvde": func(i int) string { d, p, m, u := gen(i); return fmt.Sprintf("%d;%s;%.0f;%d", u, comma(d), p, m) },
		"csvhead": func(i int) string {
			d, p, m, u := gen(i)
			if i == 0 {
				return "Zeit [s];Abstand [mm];Füllstand [%];Pumpe;Temperatur [°C]"
			}
			return fmt.Sprintf("%d;%.0f;%s;%d;%s", u/1000, d*10, comma(p), m, comma(21.5))
		},
		"tsv": func(i int) string {
			d, p, m, _ := gen(i)
			if i == 0 {
				return "timestamp\techo_us\traw_cm\tfilt_cm\tpct\tpump\tvin"
			}
			return fmt.Sprintf("%s\t%.0f\t%.1f\t%.1f\t%.0f\t%d\t%.2f", time.Unix(1777880000+int64(i), 0).UTC().Format("2006-01-02 15:04:05"), d*58, d+0.3, d, p, m, 12.1)
		},
		"csvempty": func(i int) string {
			d, p, m, u := gen(i)
			if i%9 == 4 {
				return fmt.Sprintf("%d,,,%d", u, m)
			}
			return fmt.Sprintf("%d,%.1f,%.0f,%d", u, d, p, m)
		},
	}
}

// lostFeeds say in their own ways that no echo came back.
func lostFeeds() map[string]func(i int) string {
	return map[string]func(i int) string{
		"lostword": func(i int) string {
			d, p, m, _ := gen(i)
			if i%9 == 4 {
				return fmt.Sprintf("Distance: out of range  Level: --  Pump: %s", on(m, "OFF", "ON"))
			}
			return fmt.Sprintf("Distance: %.1f cm  Level: %.0f %%  Pump: %s", d, p, on(m, "OFF", "ON"))
		},
		"lost400": func(i int) string {
			d, p, m, _ := gen(i)
			if i%9 == 4 {
				d = 400
				p = 0
			}
			return fmt.Sprintf("d=%.0fcm p=%.0f%% relay=%d", d, p, m)
		},
		"lost-1": func(i int) string {
			d, p, m, _ := gen(i)
			if i%9 == 4 {
				d = -1
				p = 0
			}
			return fmt.Sprintf(`{"distance":%.1f,"level":%.0f,"relay":%d,"vcc":%.2f,"rst":"POWERON"}`, d, p, m, 4.97)
		},
		"jsonnull": func(i int) string {
			d, _, m, _ := gen(i)
			if i%9 == 4 {
				return fmt.Sprintf(`{"ts":%d,"sensor":{"echo_us":null,"temp":21.5},"pump":%v}`, 1777880000+i, m == 1)
			}
			return fmt.Sprintf(`{"ts":%d,"sensor":{"echo_us":%.0f,"temp":21.5},"pump":%v}`, 1777880000+i, d*58.2, m == 1)
		},
	}
}

// standardFeeds are objects and sentences of a standard: JSON, NMEA 0183.
func standardFeeds() map[string]func(i int) string {
	return map[string]func(i int) string{
		"json": func(i int) string {
			d, p, m, u := gen(i)
			return fmt.Sprintf(`{"up":%d,"tank":{"dist_mm":%.0f,"pct":%.1f},"pump":%v}`, u, d*10, p, m == 1)
		},
		"nmea": func(i int) string {
			d, p, _, _ := gen(i)
			return checked(fmt.Sprintf("IIXDR,D,%.3f,M,TankRange,E,%.1f,P,FreshWater#0,C,21.5,C,AIR", d/100, p))
		},
		"nmea-dbt": func(i int) string {
			d, _, _, _ := gen(i)
			return checked(fmt.Sprintf("SDDBT,%.1f,f,%.2f,M,%.1f,F", d/30.48, d/100, d/182.88))
		},
	}
}

// gen is the course of an invented tank: distance in cm, percent, pump, uptime in ms.
func gen(i int) (dist, pct float64, pump int, up int) {
	d := 80 + 40*math.Sin(float64(i)/30) + 0.1*float64(i%3)
	p := 0
	if math.Cos(float64(i)/30) < 0 {
		p = 1
	}
	return d, 100 * (170 - d) / 135, p, 5000 + 200*i
}

// on is how a controller writes its pump: off or on.
func on(pump int, idle, running string) string { return []string{idle, running}[pump] }

// comma is a number with one place behind a decimal comma.
func comma(d float64) string { return decimalComma(fmt.Sprintf("%.1f", d)) }
