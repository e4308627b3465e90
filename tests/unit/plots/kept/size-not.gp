# size-not: no size and no amount reaches it; looked at 2026-11-28
load 'head.gp'
set label '80 °C by 15:00 is not reached: 50 °C (95 %: 46 to 53)' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'Glazed wash stand, 40 kg of water from 15 °C, clear sky of 19 June 2026, air at 22 °C' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
set label '' at screen 0.0650,0.0300 left front tc rgb '#000000' font 'Sans,12'
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.8000
set bmargin at screen 0.3450
set tmargin at screen 0.8350
set grid xtics ytics back ls 100
set label 'Water that reaches 80 °C, kg (below the lines)' at screen 0.0180,0.8610 left front tc rgb '#000000' font 'Sans,13.5'
set xrange [0:1.375]
set yrange [0:50]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' 0,0.25,1.37500025
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0,10,50.00001
set label 'gross area of this build, m²' at screen 0.4325,0.2825 center front tc rgb '#4D4D4D' font 'Sans,12'
$borders << EOD
0.05 NaN NaN NaN NaN
0.45 NaN NaN NaN NaN
0.85 NaN NaN NaN NaN
1.25 NaN NaN NaN NaN
1.65 NaN NaN NaN NaN
2.05 NaN NaN NaN NaN
NaN NaN NaN NaN NaN
EOD
set arrow from first 0, first 40 to first 1.375, first 40 nohead front lw 1 dt (5,4) lc rgb '#4D4D4D'
set arrow from first 1.1, first 0 to first 1.1, first 50 nohead front lw 1 dt (5,4) lc rgb '#4D4D4D'
set label '' at first 1.1, first 40 front point pt 7 ps 1.9 lc rgb '#000000'
set label 'as asked: 50 °C' at first 1.1, first 40 left offset 1,-1 front tc rgb '#000000' font 'Sans,13.5'
set label 'no size and no amount reaches it' at screen 0.4325,0.7950 center front tc rgb '#000000' font 'Sans,13.5'
plot NaN, $borders using 1:2 with filledcurves y1=0 fs solid 1.0 noborder lc rgb '#CFE3F0', $borders using 1:3 with filledcurves y1=0 fs solid 1.0 noborder lc rgb '#7FB8D8', $borders using 1:4 with lines lw 2 dt (8,4) lc rgb '#4D4D4D', $borders using 1:5 with lines lw 3 lc rgb '#0072B2'
unset label
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.9750
set bmargin at screen 0.0850
set tmargin at screen 0.1600
set grid xtics ytics back ls 100
set label 'Start of the heat-up, UTC+02:00: none is early enough; line: 6:57, the best' at screen 0.0650,0.1820 left front tc rgb '#000000' font 'Sans,13.5'
set xrange [18000:46951.2]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('7:00' 18151.2, '8:00' 21751.2, '9:00' 25351.2, '10:00' 28951.2, '11:00' 32551.2, '12:00' 36151.2, '13:00' 39751.2, '14:00' 43351.2, '15:00' 46951.2)
set yrange [0:1]
set grid noytics
set object rectangle from first 18000, graph 0.12 to first 46951.2, graph 0.88 back fc rgb '#EEEEEE' fs solid noborder
set label 'not reached, whenever it starts' at first 32475.6, first 0.5 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set arrow from first 18000, graph 0 to first 18000, graph 1 nohead lw 3 lc rgb '#000000'
plot NaN
unset multiplot
unset output
