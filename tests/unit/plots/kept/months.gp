# months: six months, the best start; looked at 2026-11-28
load 'head.gp'
set label '43 °C by 15:00, clear sky: sure from April to June, likely in 1 more' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'Glazed wash stand, 40 kg of water from 15 °C, the 21st of each month of 2026, best start; UTC+02:00' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
load 'panel.gp'
set lmargin at screen 0.1250
set rmargin at screen 0.8900
set bmargin at screen 0.3250
set tmargin at screen 0.6900
set grid xtics ytics back ls 100
set label 'Water when warmest by the deadline, °C (bar: from the start; line: 95 %)' at screen 0.0180,0.7200 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [0:70]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0,10,70.00001
set xrange [0.5:12.5]
set grid noxtics
set xtics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' ('Jan' 1, 'Feb' 2, 'Mar' 3, 'Apr' 4, 'May' 5, 'Jun' 6, 'Jul' 7, 'Aug' 8, 'Sep' 9, 'Oct' 10, 'Nov' 11, 'Dec' 12)
set arrow from graph 0, first 43 to graph 1, first 43 nohead lw 1.5 dt (3,3) lc rgb '#000000'
set arrow from graph 0, first 49 to graph 1, first 49 nohead lw 1.5 dt (8,4) lc rgb '#D55E00'
set label 'target 43 °C' at graph 1, first 43 left offset 0.6,0 front tc rgb '#000000' font 'Sans,12'
set label 'scalds 49 °C' at graph 1, first 49 left offset 0.6,0 front tc rgb '#BF5300' font 'Sans,12'
set label '29' at first 1, first 37.6747765 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set label '37' at first 2, first 46.0747765 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set label '49' at first 3, first 58.0747765 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set label '42' at first 4, first 51.6369863 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set label '58' at first 5, first 66.7747765 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set label '58' at first 6, first 66.7747765 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set label 'reached?' at screen 0.0180,0.8150 left front tc rgb '#000000' font 'Sans,13.5'
set object rectangle from screen 0.1250, screen 0.7650 to screen 0.1888, screen 0.8650 back fc rgb '#FFFFFF' fs solid 1.0 border lc rgb '#4D4D4D'
set label 'Jan' at screen 0.1569,0.8350 center front tc rgb '#000000' font 'Sans,13.5'
set label 'no' at screen 0.1569,0.7970 center front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.1888, screen 0.7650 to screen 0.2525, screen 0.8650 back fc rgb '#FFFFFF' fs solid 1.0 border lc rgb '#4D4D4D'
set label 'Feb' at screen 0.2206,0.8350 center front tc rgb '#000000' font 'Sans,13.5'
set label 'unlikely' at screen 0.2206,0.7970 center front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.2525, screen 0.7650 to screen 0.3163, screen 0.8650 back fc rgb '#CFE3F0' fs solid 1.0 border lc rgb '#4D4D4D'
set label 'Mar' at screen 0.2844,0.8350 center front tc rgb '#000000' font 'Sans,13.5'
set label 'likely' at screen 0.2844,0.7970 center front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.3163, screen 0.7650 to screen 0.3800, screen 0.8650 back fc rgb '#7FB8D8' fs solid 1.0 border lc rgb '#4D4D4D'
set label 'Apr' at screen 0.3481,0.8350 center front tc rgb '#000000' font 'Sans,13.5'
set label 'yes' at screen 0.3481,0.7970 center front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.3800, screen 0.7650 to screen 0.4437, screen 0.8650 back fc rgb '#7FB8D8' fs solid 1.0 border lc rgb '#4D4D4D'
set label 'May' at screen 0.4119,0.8350 center front tc rgb '#000000' font 'Sans,13.5'
set label 'yes' at screen 0.4119,0.7970 center front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.4437, screen 0.7650 to screen 0.5075, screen 0.8650 back fc rgb '#7FB8D8' fs solid 1.0 border lc rgb '#4D4D4D'
set label 'Jun' at screen 0.4756,0.8350 center front tc rgb '#000000' font 'Sans,13.5'
set label 'yes' at screen 0.4756,0.7970 center front tc rgb '#000000' font 'Sans,12'
set label 'latest start' at screen 0.0180,0.2350 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '–' at screen 0.1569,0.2350 center front tc rgb '#000000' font 'Sans,12'
set label '–' at screen 0.2206,0.2350 center front tc rgb '#000000' font 'Sans,12'
set label '13:58' at screen 0.2844,0.2350 center front tc rgb '#000000' font 'Sans,12'
set label '13:57' at screen 0.3481,0.2350 center front tc rgb '#000000' font 'Sans,12'
set label '13:56' at screen 0.4119,0.2350 center front tc rgb '#000000' font 'Sans,12'
set label '13:55' at screen 0.4756,0.2350 center front tc rgb '#000000' font 'Sans,12'
set label 'most water, kg' at screen 0.0180,0.1890 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '69' at screen 0.1569,0.1890 center front tc rgb '#000000' font 'Sans,12'
set label '77' at screen 0.2206,0.1890 center front tc rgb '#000000' font 'Sans,12'
set label '89' at screen 0.2844,0.1890 center front tc rgb '#000000' font 'Sans,12'
set label '97' at screen 0.3481,0.1890 center front tc rgb '#000000' font 'Sans,12'
set label '98' at screen 0.4119,0.1890 center front tc rgb '#000000' font 'Sans,12'
set label '98' at screen 0.4756,0.1890 center front tc rgb '#000000' font 'Sans,12'
set label 'air, °C' at screen 0.0180,0.1430 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '5' at screen 0.1569,0.1430 center front tc rgb '#000000' font 'Sans,12'
set label '6' at screen 0.2206,0.1430 center front tc rgb '#000000' font 'Sans,12'
set label '7' at screen 0.2844,0.1430 center front tc rgb '#000000' font 'Sans,12'
set label '8' at screen 0.3481,0.1430 center front tc rgb '#000000' font 'Sans,12'
set label '9' at screen 0.4119,0.1430 center front tc rgb '#000000' font 'Sans,12'
set label '10' at screen 0.4756,0.1430 center front tc rgb '#000000' font 'Sans,12'
$bars0 << EOD
4 42.2 3.68 4.32 8 40.0086534 44.3913466
5 57.7 4.68 5.32 8 51.5019358 63.8980642
6 57.7 5.68 6.32 8 51.5019358 63.8980642
NaN NaN NaN NaN NaN NaN NaN
EOD
$bars1 << EOD
3 49 2.68 3.32 8 42.8019358 55.1980642
NaN NaN NaN NaN NaN NaN NaN
EOD
$bars2 << EOD
1 28.6 0.68 1.32 8 22.4019358 34.7980642
2 37 1.68 2.32 8 30.8019358 43.1980642
NaN NaN NaN NaN NaN NaN NaN
EOD
plot NaN, $bars0 using 1:2:3:4:5:2 with boxxyerror fc rgb '#0072B2' fs transparent solid 0.75 border lc rgb '#0072B2', $bars1 using 1:2:3:4:5:2 with boxxyerror fc rgb '#0072B2' fs transparent solid 0.30 border lc rgb '#0072B2', $bars2 using 1:2:3:4:5:2 with boxxyerror fc rgb '#0072B2' fs transparent solid 0.00 border lc rgb '#0072B2', $bars0 using 1:2:6:7 with yerrorbars lw 2 pt 7 ps 0.9 lc rgb '#000000', $bars1 using 1:2:6:7 with yerrorbars lw 2 pt 7 ps 0.9 lc rgb '#000000', $bars2 using 1:2:6:7 with yerrorbars lw 2 pt 7 ps 0.9 lc rgb '#000000'
unset multiplot
unset output
