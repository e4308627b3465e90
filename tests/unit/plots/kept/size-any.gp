# size-any: any of these reaches it; looked at 2026-11-28
load 'head.gp'
set label '43 °C within 120 min is reached: 50 °C (95 %: 46 to 53)' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'Glazed wash stand, 40 kg of water from 15 °C, steady sun of 900 W/m², air at 22 °C' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
set label '' at screen 0.0650,0.0300 left front tc rgb '#000000' font 'Sans,12'
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.8000
set bmargin at screen 0.1250
set tmargin at screen 0.8350
set grid xtics ytics back ls 100
set label 'Water that reaches 43 °C, kg (below the lines)' at screen 0.0180,0.8610 left front tc rgb '#000000' font 'Sans,13.5'
set xrange [0:1.375]
set yrange [0:50]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' 0,0.25,1.37500025
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0,10,50.00001
set label 'gross area of this build, m²' at screen 0.4325,0.0625 center front tc rgb '#4D4D4D' font 'Sans,12'
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
set label 'any of these reaches it' at screen 0.4325,0.7950 center front tc rgb '#000000' font 'Sans,13.5'
plot NaN, $borders using 1:2 with filledcurves y1=0 fs solid 1.0 noborder lc rgb '#CFE3F0', $borders using 1:3 with filledcurves y1=0 fs solid 1.0 noborder lc rgb '#7FB8D8', $borders using 1:4 with lines lw 2 dt (8,4) lc rgb '#4D4D4D', $borders using 1:5 with lines lw 3 lc rgb '#0072B2'
unset multiplot
unset output
