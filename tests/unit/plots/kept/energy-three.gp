# energy-three: the energy of three runs, the third and the first run in, US units; looked at 2026-11-28
load 'head.gp'
set label 'Glazed wash stand: 61 % of the sun’s energy stayed in the water' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label '3 runs fitted together, 3 May 2026 to 7 May 2026, 51.87° N, 0.63° E' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
load 'panel.gp'
set lmargin at screen 0.0000
set rmargin at screen 1.0000
set bmargin at screen 0.3950
set tmargin at screen 0.9000
set grid xtics ytics back ls 100
unset grid
set border 0
set xrange [0:1200]
set yrange [0:404]
$flow0 << EOD
164 212.304
190 212.304
196.46 212.667
202.838 213.751
209.056 215.542
215.033 218.018
220.696 221.148
225.973 224.892
230.797 229.203
235.108 234.027
238.852 239.304
241.982 244.967
244.458 250.944
246.249 257.162
247.333 263.54
247.696 270
247.696 340
252.696 340
225.848 356
199 340
204 340
204 270
203.912 268.432
203.649 266.885
203.214 265.376
202.614 263.926
201.854 262.552
200.946 261.271
199.899 260.101
198.729 259.054
197.448 258.146
196.074 257.386
194.624 256.786
193.115 256.351
191.568 256.088
190 256
164 256
EOD
set label 'not absorbed' at screen 0.1882,0.8800 center front tc rgb '#000000' font 'Sans,12'
set label '23 %, 1140 Btu' at screen 0.1882,0.8538 center front tc rgb '#4D4D4D' font 'Sans,12'
$flow1 << EOD
164 197.813
389.602 197.813
392.792 197.993
395.942 198.528
399.012 199.412
401.964 200.635
404.76 202.18
407.366 204.029
409.748 206.158
411.877 208.541
413.726 211.146
415.272 213.943
416.494 216.894
417.379 219.965
417.914 223.114
418.093 226.304
418.093 340
423.093 340
410.848 356
398.602 340
403.602 340
403.602 226.304
403.514 224.737
403.251 223.189
402.817 221.681
402.216 220.23
401.456 218.856
400.548 217.576
399.502 216.405
398.331 215.359
397.051 214.45
395.677 213.691
394.226 213.09
392.718 212.655
391.17 212.392
389.602 212.304
164 212.304
EOD
set label 'collector’s loss' at screen 0.3424,0.8800 center front tc rgb '#000000' font 'Sans,12'
set label '8 %, 380 Btu' at screen 0.3424,0.8538 center front tc rgb '#4D4D4D' font 'Sans,12'
$flow2 << EOD
164 183.286
606.093 183.286
606.093 197.813
164 197.813
EOD
set label 'warming the collector' at screen 0.5001,0.6823 right front tc rgb '#000000' font 'Sans,12'
set label '8 %, 380 Btu' at screen 0.5001,0.6573 right front tc rgb '#4D4D4D' font 'Sans,12'
set object rectangle from first 172, first 48 to first 618.093, first 272 front lw 1.5 fs empty border lc rgb '#4D4D4D'
set label 'collector' at screen 0.3292,0.4338 center front tc rgb '#4D4D4D' font 'Sans,12'
$flow3 << EOD
164 182.341
850 182.341
851.735 182.438
853.449 182.729
855.119 183.211
856.725 183.876
858.246 184.717
859.664 185.722
860.96 186.881
862.118 188.177
863.124 189.594
863.965 191.116
864.63 192.721
865.111 194.392
865.403 196.105
865.5 197.841
865.5 340
870.5 340
864.75 356
859 340
864 340
864 197.841
863.912 196.273
863.649 194.726
863.214 193.217
862.614 191.766
861.854 190.392
860.946 189.112
859.899 187.941
858.729 186.895
857.448 185.987
856.074 185.227
854.624 184.626
853.115 184.192
851.568 183.929
850 183.841
164 183.841
EOD
set label 'container’s loss' at screen 0.7206,0.8800 center front tc rgb '#000000' font 'Sans,12'
set label 'under 1 %' at screen 0.7206,0.8538 center front tc rgb '#4D4D4D' font 'Sans,12'
$flow4 << EOD
164 66
798 66
802 49
973 49
981 182.341
164 182.341
EOD
set label 'kept in the water' at screen 0.8325,0.5640 left front tc rgb '#000000' font 'Sans,12'
set label '61 %, 3030 Btu' at screen 0.8325,0.5365 left front tc rgb '#4D4D4D' font 'Sans,12'
set object circle at first 704.047, first 124.17 size first 20 front fc rgb 'white' lw 1.5 fs solid 1.0 border lc rgb '#4D4D4D'
set label 'P' at screen 0.5867,0.5502 center front tc rgb '#4D4D4D' font 'Sans,12'
set label 'pump' at screen 0.5867,0.4338 center front tc rgb '#4D4D4D' font 'Sans,12'
set arrow from first 790, first 272 to first 802, first 48 nohead front lw 2 lc rgb '#4D4D4D'
set arrow from first 802, first 48 to first 973, first 48 nohead front lw 2 lc rgb '#4D4D4D'
set arrow from first 973, first 48 to first 985, first 272 nohead front lw 2 lc rgb '#4D4D4D'
set label 'container' at screen 0.7396,0.4338 center front tc rgb '#4D4D4D' font 'Sans,12'
$flow5 << EOD
22 66
164 66
164 256
22 256
EOD
set label 'sun on the collector' at screen 0.0183,0.7600 left front tc rgb '#000000' font 'Sans,12'
set label '100 %, 4950 Btu' at screen 0.0183,0.7325 left front tc rgb '#4D4D4D' font 'Sans,12'
plot $flow0 using 1:2 with filledcurves closed fs solid 0.9 noborder lc rgb '#F3E9B5', $flow1 using 1:2 with filledcurves closed fs solid 0.9 noborder lc rgb '#D55E00', $flow2 using 1:2 with filledcurves closed fs solid 0.9 noborder lc rgb '#E8BFD6', $flow3 using 1:2 with filledcurves closed fs solid 0.9 noborder lc rgb '#56B4E9', $flow4 using 1:2 with filledcurves closed fs solid 0.9 noborder lc rgb '#0072B2', $flow5 using 1:2 with filledcurves closed fs solid 0.9 noborder lc rgb '#F8D66D'
unset label
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.7750
set bmargin at screen 0.0850
set tmargin at screen 0.2650
set grid xtics ytics back ls 100
$energy << EOD
1 0 2311.3165 0 0 2311.3165 2311.3165 2311.3165 0 -17.538408 NaN 2311.3165 2320.05158 -17.538408 -17.538408 2320.05158 2320.05158 2320.05158 -17.538408 -17.538408 NaN 2320.05158 3251.42976 -17.538408 -17.538408 3251.42976
23 0 701.263348 0 0 701.263348 701.263348 705.39204 0 0 705.39204 705.39204 834.712208 0 0 834.712208 834.712208 834.712208 0 -0.0341214163 NaN 834.712208 1172.35727 -0.0341214163 -0.0341214163 1172.35727
46 0 0 0 -24.7380268 NaN 0 24.7380268 -24.7380268 -24.7380268 24.7380268 24.7380268 268.979125 -24.7380268 -24.7380268 268.979125 268.979125 877.739314 -24.7380268 -24.7380268 877.739314 877.739314 1222.77166 -24.7380268 -24.7380268 1222.77166
68 0 464.904298 0 0 464.904298 464.904298 508.238496 0 0 508.238496 508.238496 856.038093 0 0 856.038093 856.038093 856.038093 0 0 NaN 856.038093 1202.31246 0 0 1202.31246

86.7225 0 2317.93605 0 0 2317.93605 2317.93605 2317.93605 0 -18.0161078 NaN 2317.93605 2323.97554 -18.0161078 -18.0161078 2323.97554 2323.97554 2323.97554 -18.0161078 -18.0161078 NaN 2323.97554 3256.71176 -18.0161078 -18.0161078 3256.71176
108.7225 0 690.139767 0 0 690.139767 690.139767 695.428586 0 0 695.428586 695.428586 831.334187 0 0 831.334187 831.334187 831.334187 0 -0.0341214163 NaN 831.334187 1167.62804 -0.0341214163 -0.0341214163 1167.62804
131.7225 0 0 0 -24.3626913 NaN 0 24.3626913 -24.3626913 -24.3626913 24.3626913 24.3626913 266.351776 -24.3626913 -24.3626913 266.351776 266.351776 880.571391 -24.3626913 -24.3626913 880.571391 880.571391 1226.90035 -24.3626913 -24.3626913 1226.90035
153.7225 0 470.227238 0 0 470.227238 470.227238 513.356709 0 0 513.356709 513.356709 859.962056 0 0 859.962056 859.962056 859.962056 0 0 859.962056 859.962056 1207.79236 0 0 1207.79236

172.445 0 2322.57657 0 0 2322.57657 2322.57657 2322.57657 0 -18.0502292 NaN 2322.57657 2328.41133 -18.0502292 -18.0502292 2328.41133 2328.41133 2328.41133 -18.0502292 -18.0502292 2328.41133 2328.41133 3262.90138 -18.0502292 -18.0502292 3262.90138
194.445 0 696.48635 0 0 696.48635 696.48635 701.05862 0 0 701.05862 701.05862 832.972015 0 0 832.972015 832.972015 832.972015 0 -0.0341214163 NaN 832.972015 1169.91759 -0.0341214163 -0.0341214163 1169.91759
217.445 0 0 0 -23.9532343 NaN 0 23.9532343 -23.9532343 -23.9532343 23.9532343 23.9532343 263.724427 -23.9532343 -23.9532343 263.724427 263.724427 883.608197 -23.9532343 -23.9532343 883.608197 883.608197 1231.33273 -23.9532343 -23.9532343 1231.33273

NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN
EOD
set label 'Power on the gross area, Btu/h' at screen 0.0180,0.3290 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [0:4000]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0,2000,4000.002
set xrange [0:228.695]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('0' 0, '30' 30, '60' 60, '0' 85.7225, '30' 115.7225, '60' 145.7225, '0' 171.445, '30' 201.445)
set label 'minutes from the start of each run' at screen 0.4200,0.0225 center front tc rgb '#4D4D4D' font 'Sans,12'
set label 'wash-stand-glazed' at screen 0.1880,0.2830 center front tc rgb '#4D4D4D' font 'Sans,12'
set label 'wash-stand-glazed' at screen 0.4542,0.2830 center front tc rgb '#4D4D4D' font 'Sans,12'
set label '…-glazed-in-the-afternoon' at screen 0.6861,0.2830 center front tc rgb '#4D4D4D' font 'Sans,12'
set object rectangle from first 79.25, graph 0 to first 85.7225, graph 1 behind fc rgb '#F4F4F4' fs solid noborder
set object rectangle from first 164.9725, graph 0 to first 171.445, graph 1 behind fc rgb '#F4F4F4' fs solid noborder
set object rectangle from screen 0.7870, screen 0.0830 to screen 0.8010, screen 0.1070 front fc rgb '#0072B2' fs solid 0.9 border lc rgb '#4D4D4D'
set label 'kept in the water' at screen 0.8090,0.0950 left front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.7870, screen 0.1230 to screen 0.8010, screen 0.1470 front fc rgb '#56B4E9' fs solid 0.9 border lc rgb '#4D4D4D'
set label 'container’s loss' at screen 0.8090,0.1350 left front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.7870, screen 0.1630 to screen 0.8010, screen 0.1870 front fc rgb '#D55E00' fs solid 0.9 border lc rgb '#4D4D4D'
set label 'collector’s loss' at screen 0.8090,0.1750 left front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.7870, screen 0.2030 to screen 0.8010, screen 0.2270 front fc rgb '#E8BFD6' fs solid 0.9 border lc rgb '#4D4D4D'
set label 'warming the collector' at screen 0.8090,0.2150 left front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.7870, screen 0.2430 to screen 0.8010, screen 0.2670 front fc rgb '#F3E9B5' fs solid 0.9 border lc rgb '#4D4D4D'
set label 'not absorbed' at screen 0.8090,0.2550 left front tc rgb '#000000' font 'Sans,12'
plot NaN, $energy using 1:2:3 with filledcurves fs solid 0.9 noborder lc rgb '#0072B2', '' using 1:4:5 with filledcurves fs solid 0.9 noborder lc rgb '#0072B2', $energy using 1:7:8 with filledcurves fs solid 0.9 noborder lc rgb '#56B4E9', '' using 1:9:10 with filledcurves fs solid 0.9 noborder lc rgb '#56B4E9', $energy using 1:12:13 with filledcurves fs solid 0.9 noborder lc rgb '#D55E00', '' using 1:14:15 with filledcurves fs solid 0.9 noborder lc rgb '#D55E00', $energy using 1:17:18 with filledcurves fs solid 0.9 noborder lc rgb '#E8BFD6', '' using 1:19:20 with filledcurves fs solid 0.9 noborder lc rgb '#E8BFD6', $energy using 1:22:23 with filledcurves fs solid 0.9 noborder lc rgb '#F3E9B5', '' using 1:24:25 with filledcurves fs solid 0.9 noborder lc rgb '#F3E9B5', $energy using 1:6 with lines lw 1 lc rgb 'white', $energy using 1:11 with lines lw 1 lc rgb 'white', $energy using 1:16 with lines lw 1 lc rgb 'white', $energy using 1:21 with lines lw 1 lc rgb 'white', $energy using 1:26 with lines lw 1 lc rgb 'white'
unset multiplot
unset output
