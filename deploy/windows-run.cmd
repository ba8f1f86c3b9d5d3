@echo off
rem Runs sentinel for the scheduled task and keeps what it says in a log file. NOT TRIED on Windows; see windows.md.
rem CHANGE the three folders if they lie elsewhere.
setlocal
set "PROGRAM=C:\Sentinel\program\Scripts\sentinel.exe"
set "SENTINEL_FARM=C:\Sentinel\farm"
set "LOG=C:\Sentinel\log\sentinel.log"
set PYTHONUTF8=1
rem At each start a log of more than 10 MB makes way; the one before it goes.
if exist "%LOG%" for %%F in ("%LOG%") do if %%~zF GTR 10000000 move /y "%LOG%" "%LOG%.old" >nul
"%PROGRAM%" run "%SENTINEL_FARM%" >>"%LOG%" 2>&1
exit /b %ERRORLEVEL%
