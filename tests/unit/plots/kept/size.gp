# size: a clear day, reached, mixed water counted; looked at 2026-11-28
load 'head.gp'
set label '43 °C by 15:00 is reached: 50 °C (95 %: 46 to 53)' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'Glazed wash stand, 40 kg of water from 15 °C, clear sky of 19 June 2026, air at 22 °C' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
set label 'Mixed with tap water of 10 °C down to 38 °C that is about 61 L of water, or 12 uses of 5 L (95 %: 10 to 14).' at screen 0.0650,0.0300 left front tc rgb '#000000' font 'Sans,12'
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.8000
set bmargin at screen 0.3700
set tmargin at screen 0.8350
set grid xtics ytics back ls 100
set label 'Water that reaches 43 °C, kg (below the lines)' at screen 0.0180,0.8610 left front tc rgb '#000000' font 'Sans,13.5'
set xrange [0:1.375]
set yrange [0:78.5714286]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' 0,0.25,1.37500025
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0,20,78.5714486
set label 'gross area of this build, m²' at screen 0.4325,0.3075 center front tc rgb '#4D4D4D' font 'Sans,12'
$borders << EOD
0.05 2.85714286 2.48447205 2.85714286 2.48447205
0.45 25.7142857 22.3602484 25.7142857 22.3602484
0.85 48.5714286 42.2360248 48.5714286 42.2360248
1.25 71.4285714 62.1118012 71.4285714 62.1118012
1.65 94.2857143 81.9875776 94.2857143 81.9875776
2.05 117.142857 101.863354 117.142857 101.863354
NaN NaN NaN NaN NaN
EOD
set arrow from first 0, first 40 to first 1.375, first 40 nohead front lw 1 dt (5,4) lc rgb '#4D4D4D'
set arrow from first 1.1, first 0 to first 1.1, first 78.5714286 nohead front lw 1 dt (5,4) lc rgb '#4D4D4D'
set label '' at first 0.7, first 40 front point pt 6 ps 1.4 lc rgb '#000000'
set label '' at first 1.1, first 62.8571429 front point pt 6 ps 1.4 lc rgb '#000000'
set label 'just 0.70 m²' at first 0.7, first 40 right offset -0.7,0.7 front tc rgb '#000000' font 'Sans,12'
set label 'just 62.9 kg' at first 1.1, first 62.8571429 right offset -0.7,0.7 front tc rgb '#000000' font 'Sans,12'
set label '' at first 0.805, first 40 front point pt 6 ps 1.4 lc rgb '#000000'
set label '' at first 1.1, first 54.6583851 front point pt 6 ps 1.4 lc rgb '#000000'
set label 'sure 0.81 m²' at first 0.805, first 40 left offset 0.8,-0.75 front tc rgb '#000000' font 'Sans,12'
set label 'sure 54.7 kg' at first 1.1, first 54.6583851 left offset 0.8,-0.75 front tc rgb '#000000' font 'Sans,12'
set label '' at first 1.1, first 40 front point pt 7 ps 1.9 lc rgb '#000000'
set label 'as asked: 50 °C' at first 1.1, first 40 left offset 1,-1 front tc rgb '#000000' font 'Sans,13.5'
set label 'more likely than not' at graph 1, first 78.5714286 left offset 0.6,0 front tc rgb '#4D4D4D' font 'Sans,12'
set label 'sure (95 %)' at graph 1, first 68.3229814 left offset 0.6,0 front tc rgb '#0072B2' font 'Sans,12'
plot NaN, $borders using 1:2 with filledcurves y1=0 fs solid 1.0 noborder lc rgb '#CFE3F0', $borders using 1:3 with filledcurves y1=0 fs solid 1.0 noborder lc rgb '#7FB8D8', $borders using 1:4 with lines lw 2 dt (8,4) lc rgb '#4D4D4D', $borders using 1:5 with lines lw 3 lc rgb '#0072B2'
unset label
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.9750
set bmargin at screen 0.1150
set tmargin at screen 0.1850
set grid xtics ytics back ls 100
set label 'Start of the heat-up, UTC+02:00: 13:00 at the latest, 12:30 to be 95 % sure; line: 6:57, the best' at screen 0.0650,0.2070 left front tc rgb '#000000' font 'Sans,13.5'
set xrange [18000:46951.2]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('7:00' 18151.2, '8:00' 21751.2, '9:00' 25351.2, '10:00' 28951.2, '11:00' 32551.2, '12:00' 36151.2, '13:00' 39751.2, '14:00' 43351.2, '15:00' 46951.2)
set yrange [0:1]
set grid noytics
set object rectangle from first 18000, graph 0.12 to first 37951.2, graph 0.88 back fc rgb '#7FB8D8' fs solid noborder
set label '95 % sure' at first 27975.6, first 0.5 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set object rectangle from first 37951.2, graph 0.12 to first 39751.2, graph 0.88 back fc rgb '#CFE3F0' fs solid noborder
set object rectangle from first 39751.2, graph 0.12 to first 46951.2, graph 0.88 back fc rgb '#EEEEEE' fs solid noborder
set label 'too late' at first 43351.2, first 0.5 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set arrow from first 18000, graph 0 to first 18000, graph 1 nohead lw 3 lc rgb '#000000'
plot NaN
unset multiplot
unset output
