/** A process that puts a backup back. Arguments: the backup, the folder of the store. Says what became of it. */
import { BackupProblem } from '../../../daemon/store/backup.ts';
import { restore } from '../../../daemon/store/restore.ts';

const [source = '', folder = ''] = process.argv.slice(2);
try {
  console.log(`aside ${restore(source, folder)}`);
} catch (error) {
  if (!(error instanceof BackupProblem)) throw error;
  console.log(`problem ${error.message}`);
}
