import { createHash } from 'node:crypto';
import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { run } from './command.ts';
import { build, ensureBase } from './images.ts';

export const PROJECT = join(import.meta.dirname, '../../..');
const NAME = 'quietkeg-test/service';
const PARTS = ['package.json', 'package-lock.json', '.npmrc', 'LICENSE', 'src', 'deploy/Dockerfile', 'web/dist'];

/** The service's image from deploy/Dockerfile: the one named in the environment, else built from this working tree. */
export async function serviceImage(): Promise<string> {
  const named = process.env.QUIETKEG_TEST_SERVICE_IMAGE;
  if (named !== undefined && named !== '') return named;
  await run(process.execPath, ['web/build.ts'], { cwd: PROJECT });
  const context = mkdtempSync(join(tmpdir(), 'quietkeg-image-'));
  try {
    await layOutContext(context);
    const base = await ensureBase();
    const args = ['--file', join(context, 'deploy/Dockerfile')];
    for (const name of ['NODE_IMAGE', 'BASE_IMAGE']) args.push('--build-arg', `${name}=${base}`);
    const image = await build(NAME, context, contentKey(), args);
    await removeOlder(image);
    return image;
  } finally {
    rmSync(context, { recursive: true, force: true });
  }
}

/**
 * The Dockerfile runs `npm ci` in an image with npm; where there is none it takes a context with node_modules in it. So
 * the installed packages go along, less those of development.
 */
async function layOutContext(context: string): Promise<void> {
  for (const part of PARTS) cpSync(join(PROJECT, part), join(context, part), { recursive: true });
  const modules = join(PROJECT, 'node_modules');
  // Hard links where the file system allows: the copy only loses entries, files stay as they are.
  await run('sh', [
    '-c',
    'cp -al "$1" "$2" 2>/dev/null || { rm -rf "$2"; cp -a "$1" "$2"; }',
    'sh',
    modules,
    join(context, 'node_modules'),
  ]);
  await run('npm', ['prune', '--omit=dev', '--ignore-scripts', '--offline'], { cwd: context });
}

/** Every change of the sources makes an image; only the newest is worth its room. */
async function removeOlder(image: string): Promise<void> {
  const images = (await run('docker', ['images', '--format', '{{.Repository}}:{{.Tag}}', NAME])).split('\n');
  for (const older of images.filter((one) => one !== image)) await run('docker', ['rmi', '--force', older]);
  await run('docker', ['image', 'prune', '--force', '--filter', 'label=stage=quietkeg-build']);
}

/** Changes whenever anything that goes into the image does. */
function contentKey(): string {
  const hash = createHash('sha256');
  for (const file of PARTS.flatMap(filesIn).sort()) hash.update(file).update(readFileSync(join(PROJECT, file)));
  return hash.digest('hex');
}

/** Files at or below a path of the project, as paths of the project. */
function filesIn(part: string): string[] {
  if (statSync(join(PROJECT, part)).isFile()) return [part];
  const below = readdirSync(join(PROJECT, part), { recursive: true, encoding: 'utf8' });
  return below.map((name) => join(part, name)).filter((name) => statSync(join(PROJECT, name)).isFile());
}
