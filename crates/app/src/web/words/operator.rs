//! What the operator's page says.

use super::catalogue;

catalogue! {
    TITLE: "The machine", "Der Rechner";
    DATABASE: "Database", "Datenbank";
    ANSWERS: "answers in {0} ms", "antwortet in {0} ms";
    SILENT: "does not answer", "antwortet nicht";
    SILENT_DO: "Look whether the database server runs. Nothing is lost.", "Nachsehen, ob der Datenbankserver läuft. Verloren ist nichts.";
    BACKUP: "Last backup", "Letzte Sicherung";
    BACKUP_IS: "{0}, {1} h ago", "{0}, vor {1} h";
    NEVER: "none yet", "noch keine";
    BACKUP_DO: "Make one now, and copy it to another machine.", "Jetzt eine machen und auf einen anderen Rechner kopieren.";
    ROOM: "Room on the disk", "Platz auf der Platte";
    ROOM_DO: "Free some space. When it is full, reading works and writing does not.", "Platz schaffen. Ist sie voll, geht Lesen noch, Schreiben nicht.";
    QUEUE: "Long work", "Lange Arbeiten";
    QUEUE_IS: "{0} waiting, {1} under way, {2} given up", "{0} warten, {1} laufen, {2} aufgegeben";
    GIVEN_UP_DO: "Some work failed too often. The log says what.", "Manches ist zu oft gescheitert. Das Protokoll sagt, was.";
    PROGRAM: "Program", "Programm";
    TABLES: "Tables, step", "Tabellen, Stufe";
    COPY: "Make a backup now", "Jetzt sichern";
    COPYING: "A backup is being made. Work goes on.", "Eine Sicherung läuft. Die Arbeit geht weiter.";
    LOOK_AGAIN: "Look again", "Noch einmal nachsehen";
    COPY_WHERE: "Backups are kept in {0}.", "Sicherungen liegen in {0}.";
}
