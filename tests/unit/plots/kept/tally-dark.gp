# tally-dark: sun not known, all of the uncertainty of the water; looked at 2026-11-28
load 'head.gp'
set label '348 W went into the water (95 %: 326 to 370 W)' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label '20 kg from 20.0 to 45.0 °C in 100 minutes, 0.70 m² of collector' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
load 'panel.gp'
set lmargin at screen 0.1650
set rmargin at screen 0.9650
set bmargin at screen 0.5450
set tmargin at screen 0.8000
set grid xtics ytics back ls 100
set label 'Energy, MJ' at screen 0.1650,0.8220 left front tc rgb '#000000' font 'Sans,13.5'
set label 'What three more readings would give' at screen 0.5350,0.4520 left front tc rgb '#000000' font 'Sans,13.5'
set label 'Three in between, at even times: the loss of collector and' at screen 0.5350,0.4130 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'container together to ± 6.3 W/(m² K) (95 %; one glass has' at screen 0.5350,0.3880 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'about 8 W/(m² K)), which is little to go by.' at screen 0.5350,0.3630 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'Three of water and air with the pump off, over the next 6 h: the' at screen 0.5350,0.3110 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'container’s loss to ± 0.78 W/K (95 %; a bucket with a lid has' at screen 0.5350,0.2860 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'about 1.5 W/K), which is little to go by.' at screen 0.5350,0.2610 left front tc rgb '#4D4D4D' font 'Sans,12'
set xrange [0:3]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' 0,0.5,3.0000005
set yrange [-0.6:0.6]
set grid noytics
set ytics nomirror scale 0 tc rgb '#000000' font 'Sans,13.5' ('in the water' 0)
$bar << EOD
0 0 0 2.09 -0.32 0.32
EOD
$sun << EOD
0 1 0 0 0.68 1.32
EOD
$span << EOD
2.09 0 1.96449876 2.21550124
EOD
set label '2.09 MJ (95 %: 1.96 to 2.22)' at first 2.21550124, first 0 left offset 0.8,0 front tc rgb '#000000' font 'Sans,12'
plot $sun using 1:2:3:4:5:6 with boxxyerror fs solid 0.85 noborder lc rgb '#F0E442', $bar using 1:2:3:4:5:6 with boxxyerror fs solid 0.85 noborder lc rgb '#0072B2', $span using 1:2:3:4 with xerrorbars pt 0 lw 3 lc rgb '#000000'
unset label
load 'panel.gp'
set lmargin at screen 0.2450
set rmargin at screen 0.4700
set bmargin at screen 0.1050
set tmargin at screen 0.4300
set grid xtics ytics back ls 100
set label 'Share of the variance, %' at screen 0.2450,0.4520 left front tc rgb '#000000' font 'Sans,13.5'
set xrange [0:112]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' 0,25,100.000025
set yrange [-4.5:0.5]
set grid noytics
set ytics nomirror scale 0 tc rgb '#000000' font 'Sans,12' ('the water’s mass' 0, 'the collector’s area' -1, 'the temperature before' -2, 'the temperature after' -3, 'the time between' -4)
$limits << EOD
0 0 0 100 -0.33 0.33
0 -1 0 0 -1.33 -0.67
0 -2 0 0 -2.33 -1.67
0 -3 0 0 -3.33 -2.67
0 -4 0 0 -4.33 -3.67
EOD
set label '100 %' at first 100, first 0 left offset 0.7,0 front tc rgb '#000000' font 'Sans,12'
set label '0 %' at first 0, first -1 left offset 0.7,0 front tc rgb '#000000' font 'Sans,12'
set label '0 %' at first 0, first -2 left offset 0.7,0 front tc rgb '#000000' font 'Sans,12'
set label '0 %' at first 0, first -3 left offset 0.7,0 front tc rgb '#000000' font 'Sans,12'
set label '0 %' at first 0, first -4 left offset 0.7,0 front tc rgb '#000000' font 'Sans,12'
plot $limits using 1:2:3:4:5:6 with boxxyerror fs solid 0.85 noborder lc rgb '#0072B2'
unset multiplot
unset output
