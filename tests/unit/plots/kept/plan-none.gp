# plan-none: nothing would help, no loss told, US units; looked at 2026-11-28
load 'head.gp'
set label 'In 90 minutes: η₀ ±0.044, a₁ not determined' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'Glazed wash stand, clear sky of 19 June 2026, air at 72 °F, water from 59 °F; supposed η₀ 0.71, a₁ ?' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
load 'panel.gp'
set lmargin at screen 0.0000
set rmargin at screen 1.0000
set bmargin at screen 0.0000
set tmargin at screen 1.0000
set grid xtics ytics back ls 100
set label 'The test' at screen 0.0180,0.8710 left front tc rgb '#000000' font 'Sans,13.5'
set label '± of η₀ (95 %)' at screen 0.5050,0.8710 left front tc rgb '#000000' font 'Sans,12'
set label '± of a₁, Btu/(h ft² °F)' at screen 0.7600,0.8710 left front tc rgb '#000000' font 'Sans,12'
set label 'As planned' at screen 0.0180,0.8185 left front tc rgb '#4D4D4D' font 'Sans,12'
set object rectangle from screen 0.5050, screen 0.8026 to screen 0.6250, screen 0.8344 front fc rgb '#8A8A8A' fs solid 0.85 border lc rgb '#8A8A8A'
set label '0.044' at screen 0.6350,0.8185 left front tc rgb '#000000' font 'Sans,12'
set label 'not determined' at screen 0.7600,0.8185 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'None of the usual improvements would change this by 5 %.' at screen 0.0180,0.7660 left front tc rgb '#000000' font 'Sans,12'
set label 'Covered: the collector at 0 to +24 °F over the air.' at screen 0.0180,0.7320 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'What it is made of, and what helps against it' at screen 0.0180,0.6640 left front tc rgb '#000000' font 'Sans,13.5'
set label '± of η₀ (95 %)' at screen 0.5050,0.6640 left front tc rgb '#000000' font 'Sans,12'
set label '± of a₁, Btu/(h ft² °F)' at screen 0.7600,0.6640 left front tc rgb '#000000' font 'Sans,12'
set label 'irradiance sensor, gain' at screen 0.0180,0.6186 left front tc rgb '#000000' font 'Sans,12'
set label 'a longer test' at screen 0.0300,0.5938 left front tc rgb '#4D4D4D' font 'Sans,12'
set object rectangle from screen 0.5050, screen 0.5871 to screen 0.5062, screen 0.6253 front fc rgb '#0072B2' fs solid 0.85 border lc rgb '#0072B2'
set label 'nearly none' at screen 0.6350,0.6062 left front tc rgb '#000000' font 'Sans,12'
set label 'not determined' at screen 0.7600,0.6062 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'random: noise, wind, mixing' at screen 0.0180,0.5550 left front tc rgb '#000000' font 'Sans,12'
set label 'a longer test' at screen 0.0300,0.5302 left front tc rgb '#4D4D4D' font 'Sans,12'
set object rectangle from screen 0.5050, screen 0.5235 to screen 0.5274, screen 0.5617 front fc rgb '#0072B2' fs solid 0.85 border lc rgb '#0072B2'
set label '0.008' at screen 0.6350,0.5426 left front tc rgb '#000000' font 'Sans,12'
set label 'not determined' at screen 0.7600,0.5426 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'store sensor, offset' at screen 0.0180,0.4914 left front tc rgb '#000000' font 'Sans,12'
set label 'a longer test' at screen 0.0300,0.4666 left front tc rgb '#4D4D4D' font 'Sans,12'
set object rectangle from screen 0.5050, screen 0.4599 to screen 0.5157, screen 0.4981 front fc rgb '#0072B2' fs solid 0.85 border lc rgb '#0072B2'
set label '0.004' at screen 0.6350,0.4790 left front tc rgb '#000000' font 'Sans,12'
set label 'not determined' at screen 0.7600,0.4790 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'air sensor, offset' at screen 0.0180,0.4278 left front tc rgb '#000000' font 'Sans,12'
set label 'a longer test' at screen 0.0300,0.4030 left front tc rgb '#4D4D4D' font 'Sans,12'
set object rectangle from screen 0.5050, screen 0.3963 to screen 0.5135, screen 0.4345 front fc rgb '#0072B2' fs solid 0.85 border lc rgb '#0072B2'
set label '0.003' at screen 0.6350,0.4154 left front tc rgb '#000000' font 'Sans,12'
set label 'not determined' at screen 0.7600,0.4154 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'flow sensor, gain' at screen 0.0180,0.3642 left front tc rgb '#000000' font 'Sans,12'
set label 'a longer test' at screen 0.0300,0.3394 left front tc rgb '#4D4D4D' font 'Sans,12'
set object rectangle from screen 0.5050, screen 0.3327 to screen 0.5104, screen 0.3709 front fc rgb '#0072B2' fs solid 0.85 border lc rgb '#0072B2'
set label '0.002' at screen 0.6350,0.3518 left front tc rgb '#000000' font 'Sans,12'
set label 'not determined' at screen 0.7600,0.3518 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'everything else (2)' at screen 0.0180,0.2882 left front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.5050, screen 0.2691 to screen 0.5290, screen 0.3073 front fc rgb '#0072B2' fs solid 0.85 border lc rgb '#0072B2'
set label '0.009' at screen 0.6350,0.2882 left front tc rgb '#000000' font 'Sans,12'
set label 'not determined' at screen 0.7600,0.2882 left front tc rgb '#4D4D4D' font 'Sans,12'
set border 0
set xrange [0:1]
set yrange [0:1]
plot NaN
unset multiplot
unset output
