# energy-back: heat given back, a hole, no shares, doubtful; looked at 2026-11-28
load 'head.gp'
set label 'Doubtful: Glazed wash stand: where the sun’s energy went' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'wash-stand-glazed: Wash stand behind the seedling tunnel, 4 May 2026, 51.87° N, 0.63° E' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.7750
set bmargin at screen 0.1050
set tmargin at screen 0.8050
set grid xtics ytics back ls 100
$energy << EOD
1 0 677.38 0 0 677.38 677.38 677.38 0 -5.14 NaN 677.38 679.94 -5.14 -5.14 679.94 679.94 679.94 -5.14 -5.14 NaN 679.94 952.9 -5.14 -5.14 952.9
16 0 656.49 0 0 656.49 656.49 656.66 0 0 656.66 656.66 688.78 0 0 688.78 688.78 688.79 0 0 688.79 688.79 967.395 0 0 967.395

46 0 0 0 -217.25 NaN 0 7.25 -217.25 -217.25 7.25 7.25 78.83 -217.25 -217.25 78.83 78.83 467.24 -217.25 -217.25 467.24 467.24 568.359 -217.25 -217.25 568.359
61 0 0 0 -231.45 NaN 0 11.45 -231.45 -231.45 11.45 11.45 106.4 -231.45 -231.45 106.4 106.4 949.18 -231.45 -231.45 949.18 949.18 1239.501 -231.45 -231.45 1239.501
76 0 591.45 0 0 591.45 591.45 606.06 0 0 606.06 606.06 718.62 0 0 718.62 718.62 718.62 0 0 718.62 718.62 1009.305 0 0 1009.305

NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN
EOD
set label 'Power on the gross area, W; below zero: given back; pale: the model runs in' at screen 0.0180,0.8690 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [-400:1400]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' -400,200,1400.0002
set xrange [0:83.5]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('0' 0, '10' 10, '20' 20, '30' 30, '40' 40, '50' 50, '60' 60, '70' 70, '80' 80)
set label 'minutes from the start' at screen 0.4200,0.0425 center front tc rgb '#4D4D4D' font 'Sans,12'
set x2range [0:83.5]
set x2tics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('10:45' 2.45, '11:00' 17.45, '11:15' 32.45, '11:30' 47.45, '11:45' 62.45, '12:00' 77.45)
set border 5
set label 'UTC' at screen 0.8030,0.8320 left front tc rgb '#4D4D4D' font 'Sans,12'
set object rectangle from screen 0.7870, screen 0.1826 to screen 0.8010, screen 0.2066 front fc rgb '#0072B2' fs solid 0.9 border lc rgb '#4D4D4D'
set label 'kept in the water' at screen 0.8090,0.1946 left front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.7870, screen 0.3058 to screen 0.8010, screen 0.3298 front fc rgb '#56B4E9' fs solid 0.9 border lc rgb '#4D4D4D'
set label 'container’s loss' at screen 0.8090,0.3178 left front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.7870, screen 0.4290 to screen 0.8010, screen 0.4530 front fc rgb '#D55E00' fs solid 0.9 border lc rgb '#4D4D4D'
set label 'collector’s loss' at screen 0.8090,0.4410 left front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.7870, screen 0.5522 to screen 0.8010, screen 0.5762 front fc rgb '#E8BFD6' fs solid 0.9 border lc rgb '#4D4D4D'
set label 'warming the collector' at screen 0.8090,0.5642 left front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.7870, screen 0.6754 to screen 0.8010, screen 0.6994 front fc rgb '#F3E9B5' fs solid 0.9 border lc rgb '#4D4D4D'
set label 'not absorbed' at screen 0.8090,0.6874 left front tc rgb '#000000' font 'Sans,12'
set object rectangle from first 0, graph 0 to first 31, graph 1 front fc rgb 'white' fs transparent solid 0.65 noborder
plot NaN, $energy using 1:2:3 with filledcurves fs solid 0.9 noborder lc rgb '#0072B2', '' using 1:4:5 with filledcurves fs solid 0.9 noborder lc rgb '#0072B2', $energy using 1:7:8 with filledcurves fs solid 0.9 noborder lc rgb '#56B4E9', '' using 1:9:10 with filledcurves fs solid 0.9 noborder lc rgb '#56B4E9', $energy using 1:12:13 with filledcurves fs solid 0.9 noborder lc rgb '#D55E00', '' using 1:14:15 with filledcurves fs solid 0.9 noborder lc rgb '#D55E00', $energy using 1:17:18 with filledcurves fs solid 0.9 noborder lc rgb '#E8BFD6', '' using 1:19:20 with filledcurves fs solid 0.9 noborder lc rgb '#E8BFD6', $energy using 1:22:23 with filledcurves fs solid 0.9 noborder lc rgb '#F3E9B5', '' using 1:24:25 with filledcurves fs solid 0.9 noborder lc rgb '#F3E9B5', $energy using 1:6 with lines lw 1 lc rgb 'white', $energy using 1:11 with lines lw 1 lc rgb 'white', $energy using 1:16 with lines lw 1 lc rgb 'white', $energy using 1:21 with lines lw 1 lc rgb 'white', $energy using 1:26 with lines lw 1 lc rgb 'white'
unset multiplot
unset output
