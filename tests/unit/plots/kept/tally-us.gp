# tally-us: sun by a model, less of it than heat, doubtful, US units; looked at 2026-11-28
load 'head.gp'
set label 'Doubtful: 62 % of the sun went into the water (95 %: 51 to 73 %)' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label '5.29 gal from 68.0 to 113.0 °F in 100 minutes, 7.5 ft² of collector, 254 Btu/(h ft²) of sun, cloudless by a model' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
load 'panel.gp'
set lmargin at screen 0.1650
set rmargin at screen 0.9650
set bmargin at screen 0.5450
set tmargin at screen 0.8000
set grid xtics ytics back ls 100
set label 'Energy, Btu' at screen 0.1650,0.8220 left front tc rgb '#000000' font 'Sans,13.5'
set label 'What three more readings would give' at screen 0.5350,0.4520 left front tc rgb '#000000' font 'Sans,13.5'
set label 'Three in between, at even times: the loss of collector and' at screen 0.5350,0.4130 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'container together to ± 1.1 Btu/(h ft² °F) (95 %; one glass has' at screen 0.5350,0.3880 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'about 1.4 Btu/(h ft² °F)), which is little to go by.' at screen 0.5350,0.3630 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'Three afterwards, over as long again in the same sun: the loss' at screen 0.5350,0.3110 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'of collector and container together to ± 0.66 Btu/(h ft² °F)' at screen 0.5350,0.2860 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '(95 %; one glass has about 1.4 Btu/(h ft² °F)), which is worth' at screen 0.5350,0.2610 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'having.' at screen 0.5350,0.2360 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'Three of water and air with the pump off, over the next 6 h: the' at screen 0.5350,0.1790 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'container’s loss to ± 1.5 Btu/(h °F) (95 %; a bucket with a lid' at screen 0.5350,0.1540 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'has about 2.8 Btu/(h °F)), which is little to go by.' at screen 0.5350,0.1290 left front tc rgb '#4D4D4D' font 'Sans,12'
set xrange [0:3000]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' 0,500,3000.0005
set yrange [-0.6:1.6]
set grid noytics
set ytics nomirror scale 0 tc rgb '#000000' font 'Sans,13.5' ('in the water' 0, 'sun on the area' 1)
$bar << EOD
0 0 0 1980.93778 -0.32 0.32
EOD
$sun << EOD
0 1 0 1800.85253 0.68 1.32
EOD
$span << EOD
1980.93778 0 1861.98556 2099.89
EOD
set label '1980 Btu (95 %: 1860 to 2100)' at first 2099.89, first 0 left offset 0.8,0 front tc rgb '#000000' font 'Sans,12'
set label '1800 Btu' at first 1800.85253, first 1 left offset 0.8,0 front tc rgb '#000000' font 'Sans,12'
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
set yrange [-5.5:0.5]
set grid noytics
set ytics nomirror scale 0 tc rgb '#000000' font 'Sans,12' ('the irradiance' 0, 'the temperature after' -1, 'the temperature before' -2, 'the water’s mass' -3, 'the collector’s area' -4, 'the time between' -5)
$limits << EOD
0 0 0 70 -0.33 0.33
0 -1 0 11.8 -1.33 -0.67
0 -2 0 11 -2.33 -1.67
0 -3 0 5 -3.33 -2.67
0 -4 0 2 -4.33 -3.67
0 -5 0 0.2 -5.33 -4.67
EOD
set label '70 %' at first 70, first 0 left offset 0.7,0 front tc rgb '#000000' font 'Sans,12'
set label '12 %' at first 11.8, first -1 left offset 0.7,0 front tc rgb '#000000' font 'Sans,12'
set label '11 %' at first 11, first -2 left offset 0.7,0 front tc rgb '#000000' font 'Sans,12'
set label '5 %' at first 5, first -3 left offset 0.7,0 front tc rgb '#000000' font 'Sans,12'
set label '2 %' at first 2, first -4 left offset 0.7,0 front tc rgb '#000000' font 'Sans,12'
set label '< 1 %' at first 0.2, first -5 left offset 0.7,0 front tc rgb '#000000' font 'Sans,12'
plot $limits using 1:2:3:4:5:6 with boxxyerror fs solid 0.85 noborder lc rgb '#0072B2'
unset multiplot
unset output
