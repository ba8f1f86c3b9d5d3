@echo off
rem Makes the day's backup for the scheduled task. NOT TRIED on Windows; see windows.md.
rem CHANGE the folders if they lie elsewhere; that of backups is best on another disk, by its UNC path if it is a share.
setlocal
set "PROGRAM=C:\Sentinel\program\Scripts\sentinel.exe"
set "SENTINEL_FARM=C:\Sentinel\farm"
set "BACKUPS=D:\Backup\sentinel"
set "LOG=C:\Sentinel\log\backup.log"
set PYTHONUTF8=1
"%PROGRAM%" backup-daily "%BACKUPS%" --keep 30 >>"%LOG%" 2>&1
exit /b %ERRORLEVEL%
